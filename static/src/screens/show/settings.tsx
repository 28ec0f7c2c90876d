/** What one person sets on one phone. */

import { LANGUAGES } from "../../texts";
import { keepSettings, persisted, settings, texts } from "../../ui/app";
import { BuildLine, Page } from "../../ui/parts";
import type { Show } from "../../walk/show/show";

export function Settings({ show }: { show: Show | null }) {
  const t = texts();
  return (
    <Page book={null} title={t("settings.title")} back="#">
      <label class="choice">
        <input
          type="checkbox"
          checked={settings.value.left}
          onChange={(e) => keepSettings({ left: e.currentTarget.checked })}
        />
        <span>{t("settings.left")}</span>
      </label>
      <label class="choice">
        <input
          type="checkbox"
          checked={settings.value.big}
          onChange={(e) => keepSettings({ big: e.currentTarget.checked })}
        />
        <span>{t("settings.big")}</span>
      </label>
      <label class="choose">
        {t("settings.language")}
        <select
          value={settings.value.language}
          data-test="language"
          onChange={(e) => keepSettings({ language: e.currentTarget.value })}
        >
          {Object.entries(LANGUAGES).map(([code, name]) => (
            <option key={code} value={code}>
              {name}
            </option>
          ))}
        </select>
      </label>
      <p>{persisted.value ? t("settings.persisted") : t("settings.not_persisted")}</p>
      <a class="button quiet" href="#join">
        {t("join.scan")}
      </a>
      {show && <p class="fine">{t("settings.key", { key: show.membership.device.slice(0, 8) })}</p>}
      <BuildLine />
    </Page>
  );
}
