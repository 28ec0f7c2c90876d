import type { KeptEntry } from "../../static/src/book/entry";
import { Log, MemoryLogFile } from "../../static/src/store/log";
import { MemoryPhotoFiles } from "../../static/src/store/photo_files";
import type { StoredEntry } from "../../static/src/store/storage";
import { Show } from "../../static/src/walk/show/show";
import { Phone } from "../../static/src/writer/phone";
import type { BookStatus, Event, Snapshot } from "../../static/src/writer/protocol";
import { MemoryStorage } from "./memory_storage";
import { BOOK, type FakeServer } from "./server";

/** A phone with its stores, which may be lost, and the page that listens to it. */
export class World {
  storage = new MemoryStorage();
  file = new MemoryLogFile();
  highWater: Record<string, number> = {};
  show!: Show;
  phone!: Phone;
  last!: Snapshot["recovery"];

  constructor(readonly server: FakeServer) {}

  async start(): Promise<void> {
    this.phone = new Phone({
      storage: this.storage,
      log: new Log(this.file),
      photos: new MemoryPhotoFiles(),
      api: this.server,
      tell: (event) => this.hear(event),
      now: () => new Date("2026-11-20T22:00:00Z"),
      room: async () => Number.POSITIVE_INFINITY,
    });
    const { memberships, entries, recovery } = await this.phone.start(this.highWater);
    this.last = recovery;
    const membership = memberships[0];
    if (membership) this.show = new Show(membership);
    this.show?.add(entries);
  }

  private hear(event: Event): void {
    if (event.tell === "entries") this.show.add(event.entries, event.gone);
    if (event.tell === "membership") this.show.membership = event.membership;
    if (event.tell === "high_water") this.highWater = { ...this.highWater, [event.book]: event.n };
  }

  async join(): Promise<void> {
    this.show = new Show(await this.phone.join("token", this.server.owner.thumbprint, "Rosa"));
    await this.phone.sync(BOOK);
  }

  look(check: string, result = "ok", answers: string[] = []): Promise<KeptEntry> {
    const body = { plan: "p", checks: [check], result, answers, weight: result === "fault" ? "stop" : null };
    return this.phone.append(BOOK, "found", body);
  }

  sync(): Promise<BookStatus> {
    return this.phone.sync(BOOK);
  }

  async mine(): Promise<StoredEntry[]> {
    return (await this.storage.load()).entries.filter((entry) => entry.mine);
  }

  logged(): string[] {
    return new Log(this.file).read().flatMap((record) => (record.kind === "entry" ? [record.jws] : []));
  }
}
