/** One sync of one book: batches go up, pages come down, a restore is crossed. */

import { hex, sha256, utf8 } from "../book/bytes";
import { blobsOf, isSame, type KeptEntry, readEntry } from "../book/entry";
import { type DeviceKey, otherForm } from "../book/jws";
import { names } from "../book/names";
import type { StoredEntry } from "../store/storage";
import { NoAnswer, Refusal, type SyncAnswer, type Verdict } from "../sync/api";
import { cross } from "../sync/cross";
import { pull } from "../sync/pull";
import type { OpenBook } from "./open_book";
import { OurTexts, replacements, seen } from "./our_texts";
import type { Surroundings } from "./phone";

export class BookSync {
  private readonly ours: OurTexts;

  constructor(
    private readonly around: Surroundings,
    private readonly key: DeviceKey,
    private readonly ownerFingerprint: string,
    private readonly open: OpenBook,
  ) {
    this.ours = new OurTexts(around, key, open);
  }

  /** Go on until everything is sent and pulled; throws when the network is gone or the book is another one. */
  async run(): Promise<void> {
    while (await this.round()) {
      // Each round sends one batch and takes one page.
    }
  }

  private async round(): Promise<boolean> {
    const { open } = this;
    const batch = open.stopped ? [] : open.nextBatch();
    const answer = await this.exchange(batch);
    if (answer === null) return true;
    if (answer.reading === "restored") {
      await this.cross(answer.restored ?? []);
      return true;
    }
    await this.applyVerdicts(batch, answer.verdicts);
    if (answer.reading === "sign_in") {
      open.sync = "sign_in";
      return !open.stopped && open.nextBatch().length > 0;
    }
    await this.takePage(answer);
    return answer.more || open.nextBatch().length > 0;
  }

  /** One call; signs in once when the cookie is gone. Null when the batch was too large and is halved. */
  private async exchange(batch: StoredEntry[]): Promise<SyncAnswer | null> {
    const { open } = this;
    const { api } = this.around;
    const head = open.shownHead();
    const after = (open.ahead?.record ?? open.record).frontier.size;
    try {
      const texts = batch.map((entry) => entry.jws);
      const answer = await api.sync(open.book, after, texts, head);
      if (answer.reading !== "sign_in" || !(await this.signIn())) return answer;
      return { ...(await api.sync(open.book, after, [], head)), verdicts: answer.verdicts };
    } catch (error) {
      if (!(error instanceof Refusal) || error.code !== 413 || batch.length < 2) throw error;
      open.batchBytes /= 2;
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
  private async applyVerdicts(batch: StoredEntry[], verdicts: Verdict[]): Promise<void> {
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
  private async takePage(answer: SyncAnswer): Promise<void> {
    const { open } = this;
    const { book } = open;
    if (answer.entries === null || answer.head === null) throw new NoAnswer();
    const from = open.ahead ?? { record: open.record, entries: [] };
    const pulled = await pull(
      from.record,
      this.ownerFingerprint,
      answer.entries,
      answer.more ? null : answer.head,
      (entry) => open.hasPlace(entry) || from.entries.some((other) => isSame(other, entry)),
    );
    for (const entry of pulled.entries) from.entries.push(entry);
    open.ahead = answer.more ? { record: pulled.book, entries: from.entries } : null;
    if (answer.more) return;
    const record = { ...pulled.book, lastSyncAt: this.around.now().toISOString() };
    const replaced = replacements(open, from.entries);
    await this.ours.check(replaced);
    const entries = seen(open, from.entries, replaced);
    const gone = replaced.map(({ old }) => old.id);
    const covered = new Set([...gone, ...entries.map((entry) => entry.id)]);
    const lost = open.unseenOf("sent").filter((entry) => !covered.has(entry.id));
    const again = lost.map((entry): StoredEntry => ({ ...entry, sending: "unsent" }));
    this.ours.log(replaced);
    const puts = { gone: gone.map((id) => ({ book, id })), entries: [...entries, ...again] };
    await this.around.storage.put({ books: [record], ...puts });
    for (const id of gone) open.forget(id);
    for (const entry of again) open.mark(entry);
    open.record = record;
    open.heldAtOffice = answer.held;
    [open.sync, open.stopped, open.why] = ["idle", null, ""];
    for (const [i, entry] of from.entries.entries()) open.keep(entries[i] as StoredEntry, entry);
    open.lookAtChain(this.key.thumbprint);
    if (entries.length > 0) this.around.tell({ tell: "entries", book, entries: from.entries, gone });
  }

  /** Go on behind a restore: keep everything, and send again what may be missing on the server. */
  private async cross(texts: string[]): Promise<void> {
    const { open } = this;
    const { book } = open;
    open.ahead = null;
    const crossing = await cross(open.record, open.inOrder(), this.ownerFingerprint, texts);
    const twins = crossing.cut.filter((entry) => entry.void === "twin").map(({ id }) => id);
    const cut = crossing.cut
      .filter((entry) => entry.void !== "twin")
      .map((entry) => {
        const stored = open.stored(entry.id) as StoredEntry;
        const order = entry.index as number;
        return {
          stored: { ...stored, index: null, sending: "unsent", order } satisfies StoredEntry,
          entry: { ...entry, index: null, void: null },
        };
      });
    const found = crossing.cut.flatMap(blobsOf).map((name) => this.around.storage.blob(book, name));
    const blobs = (await Promise.all(found)).filter((blob) => blob !== undefined);
    const told = open.unseenOf("sent", "held").map((entry): StoredEntry => ({ ...entry, sending: "unsent" }));
    const puts = { books: [crossing.book], entries: [...cut.map(({ stored }) => stored), ...told] };
    const gone = twins.map((id) => ({ book, id }));
    await this.around.storage.put({ ...puts, gone, blobs: blobs.map((blob) => ({ ...blob, unsent: true })) });
    open.record = crossing.book;
    open.stopped = null;
    for (const id of twins) open.forget(id);
    open.cutOff(cut);
    for (const entry of told) open.mark(entry);
    this.around.tell({ tell: "entries", book, entries: cut.map(({ entry }) => entry), gone: twins });
  }
}

/** An entry as the server's verdict leaves it. */
function markedBy(entry: StoredEntry, { verdict, why, remedy }: Verdict): StoredEntry {
  if (verdict !== "held" && verdict !== "refused") return { ...entry, sending: "sent" };
  return { ...entry, sending: verdict, why: why ?? "", remedy: remedy ?? "" };
}
