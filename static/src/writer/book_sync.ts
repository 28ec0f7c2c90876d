/** One sync of one book: batches go up, pages come down, a restore is crossed. */

import { hex, sha256, utf8 } from "../book/bytes";
import { type BareLeaf, blobsOf, bothIds, isSame, type KeptEntry, parseLeaf, readEntry } from "../book/entry";
import { type DeviceKey, otherForm } from "../book/jws";
import { at, must } from "../book/must";
import { names } from "../book/names";
import type { StoredEntry, StoredLeaf } from "../store/storage";
import { KEY_AWAY, NoAnswer, Refusal } from "../sync/api";
import { cross } from "../sync/cross";
import type { EntryVerdict, SyncResponse } from "../sync/messages";
import { Forked, isText, pull } from "../sync/pull";
import type { Ahead, OpenBook } from "./open_book";
import { OurTexts, replacements, seen } from "./our_texts";
import type { Surroundings } from "./surroundings";

/** How many texts of leaves a phone asks for at once. */
const MOST_TEXTS = 500;

/** A sync of one open book; each sync has its own. */
export class BookSync {
  private readonly ours: OurTexts;
  /** Why the server takes nothing in for now. */
  private takesNothing: Refusal | null = null;

  constructor(
    private readonly around: Surroundings,
    private readonly key: DeviceKey,
    private readonly ownerFingerprint: string,
    private readonly open: OpenBook,
  ) {
    this.ours = new OurTexts(around, key, open);
  }

  /**
   * Go on until everything is sent and pulled; throws when the network is gone or the book is another one. From a server
   * that takes nothing in it still pulls, and then throws what it said.
   */
  async run(): Promise<void> {
    while (await this.round()) {
      // Each round sends one batch and takes one page.
    }
    if (this.takesNothing) throw this.takesNothing;
  }

  private nextBatch(): StoredEntry[] {
    return this.open.stopped || this.takesNothing ? [] : this.open.nextBatch();
  }

  private async round(): Promise<boolean> {
    const { open } = this;
    const batch = this.nextBatch();
    const asked = this.toAsk();
    const answer = await this.exchange(batch, asked);
    if (answer === null) return true;
    if (answer.reading === "restored") {
      await this.cross(answer.restored ?? []);
      return true;
    }
    await this.applyVerdicts(batch, answer.verdicts);
    if (answer.reading === "sign_in") {
      open.sync = "sign_in";
      return this.nextBatch().length > 0;
    }
    await this.takePage(answer);
    if (asked.length > 0) await this.takeTexts(asked, answer.texts ?? []);
    return answer.more || this.nextBatch().length > 0 || this.toAsk().length > 0;
  }

  /** Leaves whose texts this phone may be able to read now: it has another role than when it last asked. */
  private toAsk(): number[] {
    const role = this.open.roleOf(this.key.thumbprint);
    const isBusy = this.open.stopped !== null || this.open.ahead !== null;
    return role === null || isBusy ? [] : this.open.leaves.toAsk(role, MOST_TEXTS);
  }

  /**
   * One call; signs in once when the cookie is gone. Null when the batch was too large and is halved, or when the
   * server takes nothing in.
   */
  private async exchange(batch: StoredEntry[], asked: number[]): Promise<SyncResponse | null> {
    const { open } = this;
    const { api } = this.around;
    const head = open.shownHead();
    const after = (open.ahead?.record ?? open.record).frontier.size;
    try {
      const request = { after, entries: batch.map((entry) => entry.jws), head, texts: asked };
      const answer = await api.sync(open.book, request);
      if (answer.reading !== "sign_in" || !(await this.signIn())) return answer;
      return { ...(await api.sync(open.book, { ...request, entries: [] })), verdicts: answer.verdicts };
    } catch (error) {
      if (!(error instanceof Refusal) || batch.length === 0) throw error;
      if (error.key === KEY_AWAY) this.takesNothing = error;
      else if (error.code === 413 && batch.length > 1) open.batchBytes /= 2;
      else throw error;
      return null;
    }
  }

  private async signIn(): Promise<boolean> {
    try {
      await this.around.api.signIn(this.key);
      return true;
    } catch (error) {
      if (error instanceof Refusal) return false;
      throw error;
    }
  }

  /** One verdict for each entry; what the server did not name stays as it is. */
  private async applyVerdicts(batch: StoredEntry[], verdicts: EntryVerdict[]): Promise<void> {
    const { open } = this;
    const byHash = new Map(verdicts.map((verdict) => [verdict.sha256, verdict]));
    const changed: StoredEntry[] = [];
    const others: { entry: StoredEntry; text: string }[] = [];
    for (const entry of batch) {
      const verdict = byHash.get(hex(await sha256(utf8(entry.jws))));
      if (verdict === undefined) throw new NoAnswer();
      const marked = markedBy(entry, verdict);
      const isOther = verdict.id !== entry.id && names(open.entry(entry.id), verdict.id);
      if (isOther) others.push({ entry: marked, text: otherForm(entry.jws) });
      else changed.push(marked);
    }
    await this.around.storage.put({ entries: changed });
    for (const entry of changed) open.mark(entry);
    for (const { entry, text } of others) await this.takeOther(entry, await readEntry(text, null));
  }

  /** Let another text stand for an entry that no head covers yet: the server had it first. */
  private async takeOther(old: StoredEntry, entry: KeptEntry): Promise<void> {
    const { open } = this;
    const { book, id, otherId, jws } = entry;
    const stored: StoredEntry = { ...old, id, otherId, jws };
    await this.ours.check([{ old, entry }]);
    this.ours.log([{ old, entry }]);
    await this.around.storage.put({ gone: [{ book, id: old.id }], entries: [stored] });
    open.replace(old.id, stored, entry);
    this.around.tell({ tell: "entries", book, entries: [entry], gone: [old.id] });
  }

  /**
   * Take a page in; nothing of it is kept before a checked head covers it. What the server had acknowledged and
   * what no head covers even now was lost there: it is sent again.
   */
  private async takePage(answer: SyncResponse): Promise<void> {
    const { open } = this;
    if (answer.entries === null || answer.head === null) throw new NoAnswer();
    const from = open.ahead ?? { record: open.record, entries: [], leaves: [] };
    const { entries, leaves, ...pulled } = await pull(
      from.record,
      this.ownerFingerprint,
      answer.entries,
      answer.more ? null : answer.head,
      (entry) => open.numbers.hasPlace(entry) || from.entries.some((other) => isSame(other, entry)),
    );
    for (const entry of entries) from.entries.push(entry);
    for (const leaf of leaves) from.leaves.push(leaf);
    open.ahead = answer.more ? { ...from, record: pulled.book } : null;
    if (answer.more) return;
    const lastSyncAt = this.around.now().toISOString();
    await this.keepPage({ ...from, record: { ...pulled.book, lastSyncAt } });
    open.heldAtOffice = answer.held;
    [open.sync, open.stopped, open.why] = ["idle", null, ""];
  }

  /** Keep what a checked head covers, all at once. */
  private async keepPage({ record, entries, leaves: bare }: Ahead): Promise<void> {
    const { open } = this;
    const { book } = open;
    const replaced = replacements(open, entries);
    await this.ours.check(replaced);
    const stored = seen(open, entries, replaced);
    const gone = replaced.map(({ old }) => old.id);
    const covered = new Set([...gone, ...stored.map(({ id }) => id)]);
    const lost = open.unseenOf("sent").filter((entry) => !covered.has(entry.id));
    const again = lost.map((entry): StoredEntry => ({ ...entry, sending: "unsent" }));
    const role = open.roleOf(this.key.thumbprint, entries) ?? "";
    const leaves = bare.map((leaf): StoredLeaf => ({ ...leaf, role }));
    this.ours.log(replaced);
    const puts = { gone: gone.map((id) => ({ book, id })), entries: [...stored, ...again], leaves };
    await this.around.storage.put({ books: [record], ...puts });
    for (const id of gone) open.forget(id);
    for (const entry of again) open.mark(entry);
    open.record = record;
    for (const leaf of leaves) open.leaves.keep(leaf);
    for (const [i, entry] of entries.entries()) open.keep(at(stored, i), entry);
    open.lookAtChain(this.key.thumbprint);
    if (entries.length > 0) this.around.tell({ tell: "entries", book, entries, gone });
  }

  /**
   * Take texts of bare leaves in, each of which must be the one that its leaf was made from. The server goes through
   * what was asked in order and stops when an answer is large: what follows its last text is asked for again.
   */
  private async takeTexts(asked: number[], given: { index: number; entry: string }[]): Promise<void> {
    const { open } = this;
    const { book } = open;
    const role = open.roleOf(this.key.thumbprint) ?? "";
    const texts = await Promise.all(given.map(({ index, entry }) => this.textOf(index, entry)));
    const taken = new Set(given.map(({ index }) => index));
    const reached = given.length === 0 ? Number.POSITIVE_INFINITY : Math.max(...taken);
    const denied = asked.filter((index) => !taken.has(index) && index < reached);
    const waiting = denied.map((index) => open.leaves.at(index));
    const leaves = waiting.filter((leaf) => leaf !== null).map((leaf) => ({ ...leaf, role }));
    await this.around.storage.put({ entries: texts.map(({ stored }) => stored), leaves });
    for (const leaf of leaves) open.leaves.keep(leaf);
    const entries = open.keepTexts(texts);
    if (entries.length > 0) this.around.tell({ tell: "entries", book, entries, gone: [] });
  }

  private async textOf(index: number, jws: string): Promise<{ stored: StoredEntry; entry: KeptEntry }> {
    const { book } = this.open;
    const named = await bothIds(jws);
    if (this.open.leaves.at(index)?.id !== named.id)
      throw new Forked(`the text shown for entry ${index} is not the one that the book was made from`);
    const stored: StoredEntry = { book, ...named, jws, index, mine: false, sending: "seen" };
    return { stored, entry: parseLeaf(jws, named, book, index) };
  }

  /** Go on behind a restore: keep everything, and send again what may be missing on the server. */
  private async cross(texts: string[]): Promise<void> {
    const { open } = this;
    const { book } = open;
    open.ahead = null;
    const crossing = await cross(open.record, open.allLeaves(), this.ownerFingerprint, texts);
    const isSent = (leaf: KeptEntry | BareLeaf) => isText(leaf) && leaf.void !== "twin";
    const dropped = crossing.cut.filter((leaf) => !isSent(leaf)).map(({ id }) => id);
    const entries = crossing.cut.filter(isText).filter(isSent);
    const cut = entries.map((entry) => {
      const stored = must(open.stored(entry.id));
      const order = must(entry.index);
      return {
        stored: { ...stored, index: null, sending: "unsent", order } satisfies StoredEntry,
        entry: { ...entry, index: null, void: null },
      };
    });
    const found = entries.flatMap(blobsOf).map((name) => this.around.storage.blob(book, name));
    const blobs = (await Promise.all(found)).filter((blob) => blob !== undefined);
    const told = open.unseenOf("sent", "held").map((entry): StoredEntry => ({ ...entry, sending: "unsent" }));
    const puts = { books: [crossing.book], entries: [...cut.map(({ stored }) => stored), ...told] };
    const gone = dropped.map((id) => ({ book, id }));
    await this.around.storage.put({ ...puts, gone, blobs: blobs.map((blob) => ({ ...blob, unsent: true })) });
    open.record = crossing.book;
    open.stopped = null;
    for (const id of dropped) open.forget(id);
    open.cutOff(cut);
    for (const entry of told) open.mark(entry);
    this.around.tell({ tell: "entries", book, entries: cut.map(({ entry }) => entry), gone: dropped });
  }
}

/** An entry as the server's verdict leaves it. */
function markedBy(entry: StoredEntry, { verdict, why, remedy }: EntryVerdict): StoredEntry {
  if (verdict !== "held" && verdict !== "refused") return { ...entry, sending: "sent" };
  return { ...entry, sending: verdict, why: why ?? "", remedy: remedy ?? "" };
}
