/** The procedure behind a check. */

import { procedures, texts } from "../ui/app";
import { Page } from "../ui/parts";

export function HowTo({ procedure, onDone }: { procedure: string; onDone: () => void }) {
  const t = texts();
  const known = procedures.value[procedure];
  return (
    <Page book={null} title={known?.title ?? t("walk.how")}>
      {known === undefined && <p>{t("how.none")}</p>}
      {known && (
        <>
          <h2>{t("how.cautions")}</h2>
          <ul class="cautions">
            {known.cautions.map((text) => (
              <li key={text}>{text}</li>
            ))}
          </ul>
          <h2>{t("how.steps")}</h2>
          <ol class="howto">
            {known.steps.map((step) => (
              <li key={step.key}>
                {step.text}
                {step.branches.map((branch) => (
                  <span class="branch" key={branch.goto}>
                    {branch.when}: {known.steps.findIndex((other) => other.key === branch.goto) + 1}
                  </span>
                ))}
              </li>
            ))}
          </ol>
        </>
      )}
      <button type="button" class="main" onClick={onDone}>
        {t("app.back")}
      </button>
    </Page>
  );
}
