/** A new handover between two companies: whose things, which ones, on what they ran, in photos. */

import { useState } from "preact/hooks";
import { kindOf } from "../../scan/codes";
import type { Stock } from "../../scan/stock";
import { said } from "../../texts";
import { append, texts } from "../../ui/app";
import { Choices, type Fill, Line, Note, noteOf, useFields } from "../../ui/fields";
import { isUntaken, leaveWritten, useHalfEntered } from "../../ui/half_entered";
import { Page } from "../../ui/parts";
import { PhotoButton } from "../../ui/photos";
import { SteadyButton } from "../../ui/steady";
import type { Show } from "../../walk/show/show";
import { Finder, Typing } from "./scan";

interface Filled {
  /** Whether things are hired in or out, and whether they go out or come back. */
  hire: "in" | "out";
  leg: "out" | "back";
  party: string;
  firmware: string;
  configuration: string;
  photos: string[];
  note: string;
}

const EMPTY: Filled = {
  hire: "in",
  leg: "out",
  party: "",
  firmware: "",
  configuration: "",
  photos: [],
  note: "",
};

export function HandOver({ show }: { show: Show }) {
  const t = texts();
  const { book } = show.membership;
  const [filled, fill] = useFields(EMPTY);
  const [items, setItems] = useState<string[]>([]);
  useHalfEntered(items.length > 0 || JSON.stringify(filled) !== JSON.stringify(EMPTY));

  async function write() {
    const { hire, leg, photos, party, note } = filled;
    const ranOn = {
      firmware: filled.firmware.trim() || null,
      configuration: filled.configuration.trim() || null,
    };
    const body = { hire, leg, items, ...ranOn, photo_blobs: photos };
    const made = await append(book, "hire_handed_over", body, { party_blob: party.trim(), ...noteOf(note) });
    if (made) leaveWritten(() => (location.hash = `#hire/${book}/${made.id}`));
  }

  return (
    <Page book={book} title={t("hire.new")} back={`#hire/${book}`}>
      <Choices
        legend={t("hire.which")}
        name="hire"
        keys={["in", "out"]}
        chosen={filled.hire}
        onPick={(hire) => fill({ hire })}
        word={(key) => said(t, "hire", `is_${key}`)}
      />
      <Choices
        legend={t("hire.leg")}
        name="leg"
        keys={["out", "back"]}
        chosen={filled.leg}
        onPick={(leg) => fill({ leg })}
        word={(key) => said(t, "hire", `leg_${key}`)}
      />
      <Line label={t("hire.party")} most={80} value={filled.party} onType={(party) => fill({ party })} />
      <Items show={show} items={items} onChange={setItems} />
      <RanOn firmware={filled.firmware} configuration={filled.configuration} fill={fill} />
      <PhotoButton book={book} names={filled.photos} onChange={(photos) => fill({ photos })} wished />
      <Note value={filled.note} onType={(note) => fill({ note })} />
      <SteadyButton
        of="hand-over"
        class="main"
        test="hand-over"
        disabled={items.length === 0 || filled.party.trim() === "" || isUntaken()}
        onClick={write}
      >
        {t(isUntaken() ? "half.untaken" : "hire.write")}
      </SteadyButton>
    </Page>
  );
}

/** What is handed over, scanned or typed; a case brings what lies in it. */
function Items({
  show,
  items,
  onChange,
}: {
  show: Show;
  items: string[];
  onChange: (items: string[]) => void;
}) {
  const t = texts();
  const take = (scanned: string[]) => {
    if (show.stock) onChange([...new Set([...items, ...withInside(show.stock, scanned)])]);
  };
  return (
    <>
      <Finder large={false} onFound={take} />
      <Typing onTyped={(text) => take([text])} />
      <p data-test="items">
        {t("hire.items", { n: items.length })}{" "}
        {items.map((code) => show.stock?.groupedOf(code) ?? code).join(", ")}
      </p>
    </>
  );
}

/** The codes of known things, each case followed by what lies in it. */
function withInside(stock: Stock, scanned: string[]): string[] {
  return scanned.flatMap((text) => {
    const found = stock.find(text);
    if (found.is !== "known") return [];
    return [found.thing.code, ...(kindOf(found.thing.code) === "case" ? stock.inside(found.thing.code) : [])];
  });
}

/** What the things ran on when they were handed over. */
function RanOn({
  firmware,
  configuration,
  fill,
}: {
  firmware: string;
  configuration: string;
  fill: Fill<Filled>;
}) {
  const t = texts();
  return (
    <>
      <Line
        label={t("hire.firmware")}
        most={200}
        value={firmware}
        onType={(text) => fill({ firmware: text })}
      />
      <Line
        label={t("hire.configuration")}
        most={200}
        value={configuration}
        onType={(text) => fill({ configuration: text })}
      />
    </>
  );
}
