/** Joining a show by an invite: by its link, scanned here or pasted; and what to do when it lets nobody in. */

import { useState } from "preact/hooks";
import { join, locale, persisted, shows, texts } from "../../ui/app";
import { Wrong } from "../../ui/fields";
import { BuildLine, Page } from "../../ui/parts";
import {
  type Invite,
  isWorthAnotherTry,
  type JoinTrouble,
  joinTrouble,
  type ReadInvite,
  readInvite,
} from "../../walk/show/joining";
import { dayAndTime } from "../../walk/show/times";
import { WriterError } from "../../writer/client";
import { Finder, TYPED } from "../stock/scan";

/** `invite` is what stood behind `#join=`; null where nothing did. */
export function Join({ invite }: { invite: string | null }) {
  const t = texts();
  const [read, setRead] = useState(invite === null ? null : readInvite(invite, location.origin));
  const [trouble, setTrouble] = useState<JoinTrouble | null>(null);
  const take = (found: ReadInvite) => {
    setRead(found);
    setTrouble(null);
  };
  const spent = trouble !== null && !isWorthAnotherTry(trouble);
  return (
    <Page book={null} title={t("join.title")} {...(shows.size > 0 ? { back: "#" } : {})}>
      {read === null && <p>{shows.size > 0 ? t("join.how") : `${t("join.none")} ${t("join.how")}`}</p>}
      {read !== null && "wrong" in read && <NoInvite read={read} />}
      {trouble !== null && <Trouble trouble={trouble} />}
      {read !== null && "invite" in read && !spent && (
        <NameForm invite={read.invite} again={trouble !== null} onTrouble={setTrouble} />
      )}
      <AnotherInvite main={read === null || "wrong" in read || spent} onRead={take} />
      {trouble === null && <Keeping />}
      <BuildLine />
    </Page>
  );
}

/** Where what is written is kept: in an app on the home screen, if the browser is to be trusted with it. */
function Keeping() {
  const t = texts();
  const installed = matchMedia("(display-mode: standalone)").matches;
  return (
    <>
      {!installed && <p class="fine">{t("join.install")}</p>}
      {persisted.value === false && <p class="fine">{t("join.not_kept")}</p>}
    </>
  );
}

function NoInvite({ read }: { read: Exclude<ReadInvite, { invite: Invite }> }) {
  const t = texts();
  const words =
    read.wrong === "cut"
      ? t("join.wrong.cut")
      : t("join.wrong.elsewhere", { host: read.host, here: location.host });
  return (
    <p class="notice alarm" role="alert" data-test="trouble" data-trouble={read.wrong}>
      {words}
    </p>
  );
}

/** What happened and what to do; the clock stands there, for a wrong one also keeps a phone from its server. */
function Trouble({ trouble }: { trouble: JoinTrouble }) {
  const t = texts();
  return (
    <div class="notice alarm" role="alert" data-test="trouble" data-trouble={trouble}>
      <p>{t(`join.wrong.${trouble}`)}</p>
      {trouble === "offline" && <p>{t("join.clock", { at: dayAndTime(new Date(), locale()) })}</p>}
    </div>
  );
}

/** Who joins; `again` after something went wrong that may go better now. */
function NameForm({
  invite,
  again,
  onTrouble,
}: {
  invite: Invite;
  again: boolean;
  onTrouble: (trouble: JoinTrouble | null) => void;
}) {
  const t = texts();
  const [name, setName] = useState("");
  const [wrong, setWrong] = useState(false);
  const [busy, setBusy] = useState(false);

  async function submit(event: Event) {
    event.preventDefault();
    const clean = name.trim();
    const isName = clean.length >= 1 && clean.length <= 60;
    setWrong(!isName);
    if (!isName) return;
    setBusy(true);
    onTrouble(null);
    try {
      location.hash = `#home/${await join(invite.token, invite.fingerprint, clean)}`;
    } catch (error) {
      onTrouble(joinTrouble(error instanceof WriterError ? error.key : ""));
      setBusy(false);
    }
  }

  return (
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
        {t(again ? "app.again" : "join.do")}
      </button>
    </form>
  );
}

/** The way on: another invite through the camera, or its link as text. `main`: there is no other way on. */
function AnotherInvite({ main, onRead }: { main: boolean; onRead: (read: ReadInvite) => void }) {
  const t = texts();
  const [open, setOpen] = useState(false);
  const [pasted, setPasted] = useState("");
  const take = (texts: string[]) => {
    const all = texts.map((text) => readInvite(text, location.origin));
    const best = all.find((read) => "invite" in read) ?? all[0];
    if (best === undefined) return;
    setOpen(false);
    onRead(best);
  };
  if (!open) {
    return (
      <button
        type="button"
        class={main ? "main" : "quiet"}
        data-test="scan-invite"
        onClick={() => setOpen(true)}
      >
        {t("join.scan")}
      </button>
    );
  }
  return (
    <form
      class="join"
      onSubmit={(event) => {
        event.preventDefault();
        take([pasted]);
      }}
    >
      <Finder large onFound={take} />
      <label>
        {t("join.paste")}
        <input
          id={TYPED}
          value={pasted}
          autocapitalize="off"
          autocomplete="off"
          spellcheck={false}
          onInput={(event) => setPasted(event.currentTarget.value)}
        />
      </label>
      <button type="submit" disabled={pasted.trim() === ""}>
        {t("join.take")}
      </button>
    </form>
  );
}
