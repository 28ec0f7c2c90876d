/** Where the browser keeps nothing for us: nothing can be joined or written, and nothing pretends to be. */

import { texts } from "../../ui/app";
import { Page } from "../../ui/parts";

export function NoStorage() {
  const t = texts();
  return (
    <Page book={null} title="Seamwalk">
      <div class="notice alarm" role="alert" data-test="no-storage">
        <p>{t("storage.none")}</p>
        <p>{t("storage.do")}</p>
      </div>
      <button type="button" class="main" onClick={() => location.reload()}>
        {t("app.again")}
      </button>
    </Page>
  );
}
