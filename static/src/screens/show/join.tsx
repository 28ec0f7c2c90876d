/** Joining a show by an invite's link. */

import { useState } from "preact/hooks";
import { fail, join, texts } from "../../ui/app";
import { Wrong } from "../../ui/fields";
import { BuildLine, Page } from "../../ui/parts";

export function Join({ invite }: { invite: string | null }) {
  const t = texts();
  const [name, setName] = useState("");
  const [wrong, setWrong] = useState(false);
  const [busy, setBusy] = useState(false);
  const [token, fingerprint] = (invite ?? "").split(".");

  async function submit(event: Event) {
    event.preventDefault();
    const clean = name.trim();
    setWrong(clean.length < 1 || clean.length > 60);
    if (clean.length < 1 || clean.length > 60 || !token || !fingerprint) return;
    setBusy(true);
    try {
      location.hash = `#home/${await join(token, fingerprint, clean)}`;
    } catch (error) {
      fail(error);
    }
    setBusy(false);
  }

  return (
    <Page book={null} title={t("join.title")}>
      <p>{token ? t("join.install") : `${t("join.none")} ${t("join.how")}`}</p>
      {token && (
        <form class="join" onSubmit={submit}>
          <label>
            {t("join.name")}
            <input
              value={name}
              maxLength={60}
              autocomplete="nickname"
              aria-invalid={wrong}
              onInput={(e) => setName(e.currentTarget.value)}
            />
          </label>
          {wrong && <Wrong>{t("join.name_wrong")}</Wrong>}
          <p class="fine">{t("join.stored")}</p>
          <button type="submit" class="main" disabled={busy}>
            {t("join.do")}
          </button>
        </form>
      )}
      <BuildLine />
    </Page>
  );
}
