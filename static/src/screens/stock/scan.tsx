/** Scanning: what a label says, where its tile stands, and putting tiles into the wall one after another. */

import { useEffect, useRef, useState } from "preact/hooks";
import { must } from "../../book/must";
import { readCode } from "../../scan/codes";
import { Scanner } from "../../scan/scanner";
import { settings, texts } from "../../ui/app";
import { useHalfEntered } from "../../ui/half_entered";
import { Page } from "../../ui/parts";
import { allowSound, signal } from "../../ui/signal";
import { tileOrder } from "../../walk/checks/places";
import type { Show } from "../../walk/show/show";
import { FoundCard } from "./found";
import type { Target } from "./target";

/** The id of the field for what the camera does not read. */
export const TYPED = "typed-code";

export function Scan({ show, target: first }: { show: Show; target: Target | null }) {
  const t = texts();
  const { book } = show.membership;
  const [target, setTarget] = useState(first);
  const [found, setFound] = useState<string[]>([]);
  const take = (scanned: string[]) => {
    setFound(scanned);
    signal(scanned.every((text) => isRight(show, text)));
  };
  const onward = () => {
    scrollTo(0, 0);
    // what was found while it was written stays
    setFound((now) => now.filter((text) => !found.includes(text)));
    setTarget(target && nextFree(show, target));
  };
  return (
    <Page
      book={book}
      title={target ? t("scan.along", { wall: target.wall, tile: target.tile }) : t("scan.title")}
      back={`#home/${book}`}
    >
      <Finder large={found.length === 0} onFound={take} />
      <div class="found" aria-live="assertive" data-test="found">
        {found.length > 1 && <p class="fine">{t("scan.several", { n: found.length })}</p>}
        {found.map((scanned) => (
          <FoundCard key={scanned} show={show} scanned={scanned} target={target} onBound={onward} />
        ))}
        {found.length === 0 && <p class="fine">{target ? t("scan.aim_tile") : t("scan.aim")}</p>}
      </div>
      <Typing onTyped={(text) => take([text])} />
      {!show.stock && <p class="notice">{t("scan.no_stock")}</p>}
    </Page>
  );
}

/** Whether a scan is what is wanted now: a known thing that is at this show. */
function isRight(show: Show, text: string): boolean {
  const found = show.stock?.find(text);
  return found?.is === "known" && found.thing.at === "here";
}

/** The next place of the wall, in walking order, at which no tile stands yet. */
function nextFree(show: Show, { wall, tile }: Target): Target | null {
  const file = show.fileOf(wall);
  if (!file) return null;
  const order = tileOrder(file);
  const later = order.slice(order.indexOf(tile) + 1);
  const free = later.find((id) => show.bindings.at(wall, id).length === 0);
  return free === undefined ? null : { wall, tile: free };
}

/** The camera's picture; what cannot be had is said, and typing always works. */
export function Finder({ large, onFound }: { large: boolean; onFound: (texts: string[]) => void }) {
  const t = texts();
  const video = useRef<HTMLVideoElement>(null);
  const scanner = useRef<Scanner | null>(null);
  const tell = useRef(onFound);
  tell.current = onFound;
  const [trouble, setTrouble] = useState<"no_reader" | "denied" | "no_camera" | null>(null);
  const [ready, setReady] = useState(false);
  const [lit, setLit] = useState(false);
  useEffect(() => {
    allowSound();
    const made = new Scanner(
      must(video.current),
      (found) => tell.current(found),
      () => setTrouble("no_reader"),
    );
    scanner.current = made;
    made.start().then(
      () => setReady(true),
      (error: Error) => setTrouble(error.name === "NotAllowedError" ? "denied" : "no_camera"),
    );
    return () => made.stop();
  }, []);
  const torch = () => {
    setLit(!lit);
    void scanner.current?.torch(!lit);
  };
  return (
    <div class={large ? "finder large" : "finder"}>
      {trouble ? (
        <p class="notice">{t(`scan.${trouble}`)}</p>
      ) : (
        <video ref={video} playsInline muted autoPlay aria-label={t("scan.picture")} />
      )}
      {ready && scanner.current?.hasTorch && (
        <button type="button" class="quiet" aria-pressed={lit} onClick={torch}>
          {t("scan.torch")}
        </button>
      )}
      {ready && (scanner.current?.lensCount ?? 0) > 1 && (
        <button type="button" class="quiet" onClick={() => void scanner.current?.nextLens()}>
          {t("scan.lens")}
        </button>
      )}
      <button type="button" class="quiet" onClick={() => document.getElementById(TYPED)?.focus()}>
        {t("scan.type_short")}
      </button>
    </div>
  );
}

/** A code typed by hand; a wrong one is answered with the codes that may have been meant. */
export function Typing({ onTyped }: { onTyped: (text: string) => void }) {
  const t = texts();
  const [typed, setTyped] = useState("");
  useHalfEntered(typed.trim() !== "", "untaken");
  const [wrong, setWrong] = useState<{ words: string; likely: string[] } | null>(null);
  const look = (text: string) => {
    const read = readCode(text);
    if ("wrong" in read) {
      setWrong({ words: t(`scan.wrong_${read.wrong}`), likely: read.likely.slice(0, 3) });
      return;
    }
    setWrong(null);
    setTyped("");
    onTyped(read.code.text);
  };
  return (
    <form
      class="typing"
      lang={settings.value.language}
      onSubmit={(event) => {
        event.preventDefault();
        allowSound();
        look(typed);
      }}
    >
      <label>
        {t("scan.type")}
        <input
          id={TYPED}
          value={typed}
          autocapitalize="characters"
          autocomplete="off"
          spellcheck={false}
          placeholder="HQ-T-00042-1"
          onInput={(event) => setTyped(event.currentTarget.value)}
        />
      </label>
      <button type="submit">{t("scan.find")}</button>
      {wrong && (
        <p class="wrong" role="alert" data-test="wrong">
          {wrong.words}{" "}
          {wrong.likely.map((code) => (
            <button key={code} type="button" class="quiet" onClick={() => look(code)}>
              {code}
            </button>
          ))}
        </p>
      )}
    </form>
  );
}
