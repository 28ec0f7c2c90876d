/** The statement that is signed, and the button that signs it. */

import type { Statement } from "../../book/entry";
import { said } from "../../texts";
import { append, statuses, texts } from "../../ui/app";
import { Choices } from "../../ui/fields";
import { isUntaken, leaveWritten } from "../../ui/half_entered";
import { SureButton } from "../../ui/steady";
import type { Exception } from "../../walk/findings/in_the_way";
import type { Show } from "../../walk/show/show";

export function StatementChoices({
  statements,
  ...field
}: {
  statements: Statement[];
  chosen: Statement;
  onPick: (statement: Statement) => void;
}) {
  const t = texts();
  return (
    <Choices
      legend={t("sign.statement")}
      name="statement"
      keys={statements}
      word={(key) => (
        <>
          <strong>{said(t, "sign", key)}</strong> {said(t, "sign.text", key)}
        </>
      )}
      {...field}
    />
  );
}

interface Signing {
  statement: Statement;
  exceptions: Exception[];
}

/**
 * Sign at the second tap, over the newest head that was checked and this phone's own entries beyond it. `left` is how
 * many checks are in the way: while there are any the button is grey and says so.
 */
export function SignButton({
  show,
  wall,
  left,
  ...signing
}: { show: Show; wall: string; left: number } & Signing) {
  const t = texts();
  const { book, device } = show.membership;
  const status = statuses.value[book];
  if (!status?.root) return <p class="wrong">{t("sign.needs_head")}</p>;
  const { epoch, size, root } = status;

  async function sign() {
    const own = [...show.entries.values()]
      .filter((entry) => entry.index === null && entry.device === device)
      .map((entry) => entry.id);
    const body = { ...signing, wall, plan: show.planOf(wall), epoch, size, root, own };
    if ((await append(book, "signed_off", body)) === null) return;
    leaveWritten(() => {
      location.hash = `#home/${book}`;
    });
  }

  return (
    <>
      {left > 0 && <p data-test="why-grey">{t("sign.why_grey", { n: left })}</p>}
      <SureButton
        class="main"
        test="sign"
        disabled={left > 0 || isUntaken()}
        words={t(isUntaken() ? "sign.untaken" : "sign.do")}
        sure={t(isUntaken() ? "sign.untaken" : "sign.sure")}
        onSure={sign}
      />
    </>
  );
}
