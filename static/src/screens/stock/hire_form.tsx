/** A new handover between two companies: whose things, which ones, on what they ran, in photos. */

import { useState } from "preact/hooks";
import { said } from "../../texts";
import { append, texts } from "../../ui/app";
import { Page } from "../../ui/parts";
import { PhotoButton } from "../../ui/photos";
import type { Show } from "../../walk/show/show";
import { Finder, Typing } from "./scan";

export function HandOver({ show }: { show: Show }) {
  const t = texts();
  const { book } = show.membership;
  const [hire, setHire] = useState("in");
  const [leg, setLeg] = useState("out");
  const [party, setParty] = useState("");
  const [firmware, setFirmware] = useState("");
  const [configuration, setConfiguration] = useState("");
  const [items, setItems] = useState<string[]>([]);
  const [photos, setPhotos] = useState<string[]>([]);
  const [note, setNote] = useState("");
  const take = (scanned: string[]) => {
    const known = scanned
      .map((text) => show.stock?.find(text))
      .flatMap((found) => (found?.is === "known" ? [found] : []));
    const inside = known.flatMap(({ thing }) =>
      thing.code[2] === "C" ? [thing.code, ...(show.stock?.inside(thing.code) ?? [])] : [thing.code],
    );
    setItems([...new Set([...items, ...inside])]);
  };
  async function write() {
    const body = {
      hire,
      leg,
      items,
      firmware: firmware.trim() || null,
      configuration: configuration.trim() || null,
      photo_blobs: photos,
    };
    const notes: Record<string, string> = {
      party_blob: party.trim(),
      ...(note.trim() ? { note_blob: note.trim() } : {}),
    };
    const made = await append(book, "hire_handed_over", body, notes);
    if (made) location.hash = `#hire/${book}/${made.id}`;
  }
  return (
    <Page book={book} title={t("hire.new")} back={`#hire/${book}`}>
      <Choice
        label={t("hire.which")}
        names={["in", "out"]}
        value={hire}
        onPick={setHire}
        word={(key) => said(t, "hire", `is_${key}`)}
      />
      <Choice
        label={t("hire.leg")}
        names={["out", "back"]}
        value={leg}
        onPick={setLeg}
        word={(key) => said(t, "hire", `leg_${key}`)}
      />
      <label>
        {t("hire.party")}
        <input value={party} maxLength={80} onInput={(event) => setParty(event.currentTarget.value)} />
      </label>
      <Finder large={false} onFound={take} />
      <Typing onTyped={(text) => take([text])} />
      <p data-test="items">
        {t("hire.items", { n: items.length })}{" "}
        {items.map((code) => show.stock?.groupedOf(code) ?? code).join(", ")}
      </p>
      <label>
        {t("hire.firmware")}
        <input value={firmware} maxLength={200} onInput={(event) => setFirmware(event.currentTarget.value)} />
      </label>
      <label>
        {t("hire.configuration")}
        <input
          value={configuration}
          maxLength={200}
          onInput={(event) => setConfiguration(event.currentTarget.value)}
        />
      </label>
      <PhotoButton book={book} names={photos} onChange={setPhotos} wished />
      <label>
        {t("fault.note")}
        <textarea
          rows={2}
          maxLength={500}
          value={note}
          onInput={(event) => setNote(event.currentTarget.value)}
        />
      </label>
      <button
        type="button"
        class="main"
        data-test="hand-over"
        disabled={items.length === 0 || party.trim() === ""}
        onClick={() => void write()}
      >
        {t("hire.write")}
      </button>
    </Page>
  );
}

function Choice({
  label,
  names,
  value,
  onPick,
  word,
}: {
  label: string;
  names: string[];
  value: string;
  onPick: (name: string) => void;
  word: (name: string) => string;
}) {
  return (
    <fieldset class="choices">
      <legend>{label}</legend>
      {names.map((name) => (
        <label key={name} class="choice">
          <input type="radio" checked={value === name} onChange={() => onPick(name)} />
          <span>{word(name)}</span>
        </label>
      ))}
    </fieldset>
  );
}
