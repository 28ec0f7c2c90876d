/** Books of the first edition, pulled and added up by this one: see tests/first_edition/README.md. */

import { readFileSync } from "node:fs";
import { gunzipSync } from "node:zlib";
import { describe, expect, it } from "vitest";
import { fromBase64url, hex, sha256, utf8 } from "../../static/src/book/bytes";
import { entryId, type KeptEntry } from "../../static/src/book/entry";
import { rank } from "../../static/src/book/findings";
import { type DeviceKey, signingInput } from "../../static/src/book/jws";
import { rootHash } from "../../static/src/book/merkle";
import { must } from "../../static/src/book/must";
import { Voids } from "../../static/src/book/trust";
import { Log, MemoryLogFile } from "../../static/src/store/log";
import { MemoryPhotoFiles } from "../../static/src/store/photo_files";
import type { StoredEntry } from "../../static/src/store/storage";
import { type Api, Refusal, type SyncSent } from "../../static/src/sync/api";
import { pull } from "../../static/src/sync/pull";
import { Show } from "../../static/src/walk/show/show";
import { OpenBook } from "../../static/src/writer/open_book";
import { Phone } from "../../static/src/writer/phone";
import { MemoryStorage } from "./memory_storage";
import { ANSWER, PLAIN } from "./server";

const FOLDER = `${import.meta.dirname}/../first_edition`;
const expected = JSON.parse(readFileSync(`${FOLDER}/expected.json`, "utf-8"));
const stored = JSON.parse(gunzipSync(readFileSync(`${FOLDER}/phone.json.gz`)).toString());
const ME = { title: "", ownerFingerprint: "", device: "nobody", person: "nobody", name: "", role: "crew" };

function exported(slug: string): { texts: string[]; head: string } {
  const text = gunzipSync(readFileSync(`${FOLDER}/${slug}.export.jsonl.gz`)).toString();
  const lines = text
    .trim()
    .split("\n")
    .map((line) => JSON.parse(line));
  return {
    texts: lines.flatMap((line) => line.entry ?? []),
    head: lines.find((line) => "head" in line).head,
  };
}

/** A whole book as a phone has it that reads it now for the first time. */
async function pulled(slug: string): Promise<{ entries: KeptEntry[]; voids: Voids; root: string }> {
  const { book, fingerprint } = expected.books[slug];
  const { texts, head } = exported(slug);
  const { entries, book: record } = await pull(new OpenBook(book).record, fingerprint, texts, head);
  const voids = new Voids();
  for (const entry of entries) entry.void = voids.judge(entry);
  return { entries, voids, root: hex(await rootHash(record.frontier)) };
}

describe.each(Object.keys(expected.books))("the book %s of the first edition", (slug) => {
  const told = expected.books[slug];

  it("is pulled whole, each leaf with the effect that it has", async () => {
    const { entries, root } = await pulled(slug);
    expect([entries.length, root]).toEqual([told.size, told.root]);
    const found = entries.filter((entry) => entry.void !== null).map((entry) => [entry.id, entry.void]);
    const wanted = Object.entries<{ void: string }>(told.void ?? {}).map(([id, why]) => [id, why.void]);
    if (slug !== "lax") expect(Object.fromEntries(found)).toEqual(Object.fromEntries(wanted));
    else expect(found).toEqual([[told.named.plain_twin, "twin"]]);
  });

  it("adds up to the states that it must have", async () => {
    const { entries } = await pulled(slug);
    const show = new Show({ ...ME, book: told.book });
    show.add(entries);
    for (const [check, [worst, standing]] of Object.entries<[number, string[]]>(told.check_states ?? {})) {
      const state = show.fold.state(check);
      expect([check, rank(state)]).toEqual([check, worst]);
      expect(state.standing, check).toEqual([...standing].sort());
    }
  });
});

/** A server that has the book of an export, and says `again` of whatever stands there. */
function serving(slug: string): Api {
  const { texts, head } = exported(slug);
  const again = async (text: string) => {
    const kept = texts.find((one) => signingInput(one) === signingInput(text));
    const [sha, id] = [hex(await sha256(utf8(text))), await entryId(must(kept))];
    return { ...PLAIN, sha256: sha, id, verdict: "again" as const };
  };
  const sync = async (_: string, { after, entries }: SyncSent) => {
    const verdicts = await Promise.all(entries.map(again));
    return { ...ANSWER, verdicts, entries: texts.slice(after), head };
  };
  const no = async () => {
    throw new Refusal(404, "not_found", "not here", "");
  };
  const calls = { join: no, signIn: no, getBlob: no, putBlob: no, procedures: async () => "{}" };
  return { ...calls, sync, clockAheadMs: null };
}

describe("the phone of the first edition in the book twisted", () => {
  const { book, named } = expected.books.twisted;

  async function opened(storage: MemoryStorage, file: MemoryLogFile) {
    const around = {
      photos: new MemoryPhotoFiles(),
      tell: () => undefined,
      now: () => new Date(expected.made_at),
    };
    const api = serving("twisted");
    const room = async () => Number.POSITIVE_INFINITY;
    const phone = new Phone({ ...around, storage, log: new Log(file), api, room });
    return { phone, snapshot: await phone.start(stored.high_water) };
  }

  async function before(): Promise<{ storage: MemoryStorage; file: MemoryLogFile }> {
    const [storage, file] = [new MemoryStorage(), new MemoryLogFile()];
    file.bytes = new Uint8Array(readFileSync(`${FOLDER}/phone.log`));
    const { jwk, thumbprint, private_jwk } = stored.key;
    const p256 = { name: "ECDSA", namedCurve: "P-256" };
    const privateKey = await crypto.subtle.importKey("jwk", { ...private_jwk }, p256, false, ["sign"]);
    const key: DeviceKey = { jwk, thumbprint, privateKey };
    // biome-ignore lint/suspicious/noExplicitAny: stored values are what the first edition wrote.
    const books = stored.books.map((one: any) => ({
      ...one,
      frontier: { size: one.frontier.size, roots: one.frontier.roots.map(fromBase64url) },
    }));
    const { memberships, entries } = structuredClone(stored);
    await storage.put({ key, memberships, books, entries });
    return { storage, file };
  }

  const mineIn = (entries: StoredEntry[]) => entries.filter((entry) => entry.book === book && entry.mine);

  it("tells at once how many leaves have no effect, and admits whom the book admits without them", async () => {
    const { storage, file } = await before();
    const { snapshot } = await opened(storage, file);
    const status = snapshot.statuses.find((one) => one.book === book);
    const { entries } = await pulled("twisted");
    const seen = entries.slice(0, expected.phone.seen.twisted.size);
    expect(status?.copies).toBe(seen.filter((entry) => entry.void !== null).length);
    expect(status).toMatchObject({ unsent: 1, forked: false, missing: 0, admitted: true });
    const again = await opened(storage, file);
    expect(again.snapshot.statuses).toEqual(snapshot.statuses);
  });

  it("takes the twisted text that came first for its own", async () => {
    const { storage, file } = await before();
    const { phone } = await opened(storage, file);
    const own = mineIn((await storage.load()).entries);
    const unsent = must(own.find((entry) => entry.id === named.phone_unsent_twisted_came_first));
    expect(unsent.sending).toBe("unsent");
    const status = await phone.sync(book);
    expect(status).toMatchObject({ sync: "idle", unsent: 0, held: 0, size: expected.books.twisted.size });
    const rows = (await storage.load()).entries.filter(
      ({ jws }) => signingInput(jws) === signingInput(unsent.jws),
    );
    expect(rows.map(({ id, mine, sending }) => [id, mine, sending])).toEqual([
      [named.phone_unsent_twisted_came_first_twin, true, "seen"],
    ]);
    expect(mineIn((await storage.load()).entries)).toHaveLength(own.length);
  });
});
