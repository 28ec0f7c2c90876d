/** A small server of one book: keeps, pages and signs heads as the real one does. */

import { fromHex, fromUtf8, hex, sha256, utf8 } from "../../static/src/book/bytes";
import { entryId } from "../../static/src/book/entry";
import { type DeviceKey, makeDeviceKey, sign, signingInput, split } from "../../static/src/book/jws";
import { EMPTY, extend, rootHash } from "../../static/src/book/merkle";
import { at } from "../../static/src/book/must";
import { type Api, NoAnswer, Refusal, type SyncSent } from "../../static/src/sync/api";
import type { EntryLeaf, EntryVerdict, JoinResponse, SyncResponse } from "../../static/src/sync/messages";

export const BOOK = "b0000000000000001";

/** A verdict that has nothing more to say. */
export const PLAIN = { index: null, why: null, detail: null, remedy: null, fork: false };
/** An answer to a phone that may read, and that nothing is held back from. */
export const ANSWER: SyncResponse = {
  seamwalk: 1,
  verdicts: [],
  entries: null,
  more: false,
  head: null,
  held: 0,
  reading: "ok",
  restored: [],
  texts: [],
};

export class FakeServer implements Api {
  entries: string[] = [];
  blobs = new Map<string, Uint8Array<ArrayBuffer>>();
  /** What happens to the next calls: the reply is lost, there is no network, the body is too large. */
  troubles: ("lost" | "down" | "413")[] = [];
  keyAway = false;
  /** A server from before the repair: a second text over a signing input is another entry to it. */
  keepsTwins = false;
  /** What the phone's role does not read. */
  hidden: (text: string) => boolean = () => false;
  deniedBlobs = new Set<string>();
  /** Leaves whose texts were asked for, call by call; blobs that were. */
  asked: number[][] = [];
  askedBlobs: string[] = [];
  /** Texts that wait for the office. */
  held: string[] = [];
  verdictFor = new Map<string, "held" | "refused">();
  signedIn = true;
  pageSize = 3;
  /** After so many texts of leaves an answer is large enough. */
  textsAtOnce = 1000;
  epoch = 1;
  clockAheadMs: number | null = null;
  restores: string[] = [];
  /** What the phones sent with the last call. */
  lastSent: string[] = [];

  private constructor(
    readonly owner: DeviceKey,
    public head: DeviceKey,
  ) {}

  static async open(): Promise<FakeServer> {
    const server = new FakeServer(await makeDeviceKey(), await makeDeviceKey());
    const body = { owner_jwk: server.owner.jwk, head_jwk: server.head.jwk, epoch: 1 };
    await server.write("book_opened", body);
    return server;
  }

  async write(type: string, body: object): Promise<void> {
    const at = "2026-11-20T22:00:00.000Z";
    const payload = { type, v: 1, book: BOOK, n: this.entries.length + 1, prev: null, at, body };
    this.entries.push(await sign(this.owner, "seamwalk-entry", payload));
  }

  /** Come back with the first `size` entries alone, and say so as the owner does. */
  async restore(size: number, base = size, by = this.owner): Promise<void> {
    this.entries = this.entries.slice(0, size);
    this.epoch += 1;
    this.head = await makeDeviceKey();
    const ids = await Promise.all(this.entries.slice(0, base).map(entryId));
    const root = hex(await rootHash(await extend(EMPTY, ids.map(fromHex))));
    const body = { epoch: this.epoch, base_size: base, base_root: root, head_jwk: this.head.jwk };
    const payload = { type: "restored", v: 1, book: BOOK, n: 100 + size, prev: null, at: "", body };
    const jws = await sign(by, "seamwalk-entry", payload);
    this.entries.push(jws);
    this.restores.push(jws);
  }

  async join(_token: string, name: string, key: DeviceKey): Promise<JoinResponse> {
    const who = { device: key.thumbprint, jwk: key.jwk, person: "p1", name_blob: "n", role: "crew" };
    await this.write("device_admitted", who);
    const owner = this.owner.thumbprint;
    return {
      seamwalk: 1,
      book: BOOK,
      title: name,
      owner_fingerprint: owner,
      device: key.thumbprint,
      person: "p1",
      role: "crew",
    };
  }

  async signIn(): Promise<void> {
    if (!this.signedIn) throw new Refusal(403, "not_admitted", "not admitted", "");
  }

  async sync(_book: string, { after, entries: texts, head, texts: asked }: SyncSent): Promise<SyncResponse> {
    this.lastSent = texts;
    this.asked.push(asked);
    const trouble = this.troubles.shift();
    if (trouble === "down") throw new NoAnswer();
    if (this.keyAway && texts.length > 0) throw new Refusal(503, "key_away", "no key", "Put it back.");
    if (trouble === "413") throw new Refusal(413, "too_large", "too large", "");
    if (head !== null && JSON.parse(fromUtf8(split(head).payload)).epoch < this.epoch) {
      const { restores } = this;
      return { ...ANSWER, reading: "restored", restored: restores };
    }
    const verdicts: EntryVerdict[] = [];
    for (const text of texts) verdicts.push(await this.take(text));
    if (trouble === "lost") throw new NoAnswer();
    if (after > this.entries.length) throw new Refusal(409, "lost_entries", "shorter", "");
    if (!this.signedIn) return { ...ANSWER, verdicts, reading: "sign_in" };
    const page = this.entries.slice(after, after + this.pageSize);
    const more = after + page.length < this.entries.length;
    const entries = await Promise.all(page.map((text) => this.shown(text)));
    const readable = asked
      .filter((index) => !this.hidden(at(this.entries, index)))
      .slice(0, this.textsAtOnce);
    const given = readable.map((index) => ({ index, entry: at(this.entries, index) }));
    return { ...ANSWER, verdicts, entries, more, head: await this.signedHead(), held: 2, texts: given };
  }

  /** A text, or its hash alone where this phone may not read it. */
  private async shown(text: string): Promise<string | EntryLeaf> {
    return this.hidden(text) ? { leaf: await entryId(text) } : text;
  }

  private async take(text: string) {
    const other = this.verdictFor.get(text);
    const same = [...this.entries, ...this.held].find((known) => this.isSame(known, text));
    if (same === undefined && !other) this.entries.push(text);
    const verdict = other ?? (same === undefined ? "kept" : this.held.includes(same) ? "held" : "again");
    const why = other || verdict === "held" ? "role" : null;
    const id = await entryId(same ?? text);
    return { ...PLAIN, sha256: hex(await sha256(utf8(text))), id, verdict, why } as const;
  }

  private isSame(known: string, text: string): boolean {
    return this.keepsTwins ? known === text : signingInput(known) === signingInput(text);
  }

  /** A text comes in from anybody. */
  async push(text: string): Promise<void> {
    await this.take(text);
  }

  async signedHead(): Promise<string> {
    const ids = await Promise.all(this.entries.map(entryId));
    const root = hex(await rootHash(await extend(EMPTY, ids.map(fromHex))));
    return sign(this.head, "seamwalk-head", {
      book: BOOK,
      epoch: this.epoch,
      size: ids.length,
      root,
      at: "",
    });
  }

  async getBlob(_book: string, name: string): Promise<Uint8Array<ArrayBuffer>> {
    this.askedBlobs.push(name);
    if (this.deniedBlobs.has(name)) throw new Refusal(403, "forbidden", "not for this role", "");
    const bytes = this.blobs.get(name);
    if (!bytes) throw new Refusal(404, "notfound", "not here", "");
    return bytes;
  }

  async putBlob(_book: string, name: string, bytes: Uint8Array<ArrayBuffer>): Promise<void> {
    this.blobs.set(name, bytes);
  }

  async procedures(): Promise<string> {
    return "{}";
  }
}
