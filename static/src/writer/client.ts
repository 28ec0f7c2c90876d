/** The page's side of the writer: requests with their replies, and events. */

import type { Event, FromWriter, Replies, Request, WriterTrouble } from "./protocol";

const HIGH_WATER = "seamwalk-high-water";

/** What the writer said went wrong, with what to do. */
export class WriterError extends Error {
  constructor(
    message: string,
    readonly remedy: string,
    /** Names the error, for whoever has words of its own for it. */
    readonly key: string,
  ) {
    super(message);
  }
}

interface Waiting {
  resolve: (reply: unknown) => void;
  reject: (error: Error) => void;
}

/** The one connection of a page to its writer; what the writer refuses is thrown as WriterError. */
export class Client {
  private readonly waiting = new Map<number, Waiting>();
  private seq = 0;
  private constructor(
    private readonly worker: Worker,
    private readonly onEvent: (event: Event) => void,
  ) {}

  /** Start the writer. It says `ready` or `open_elsewhere` before anything else. */
  static connect(onEvent: (event: Event) => void): Client {
    const client = new Client(new Worker(WRITER_URL), onEvent);
    client.worker.onmessage = (message: MessageEvent<FromWriter>) => client.receive(message.data);
    return client;
  }

  call<K extends keyof Replies>(request: Extract<Request, { do: K }>): Promise<Replies[K]> {
    this.seq += 1;
    const { seq } = this;
    return new Promise((resolve, reject) => {
      // The writer answers each request with the reply of its kind; on its way it was cloned and lost its type.
      const take = (reply: unknown) => resolve(reply as Replies[K]);
      this.waiting.set(seq, { resolve: take, reject });
      this.worker.postMessage({ seq, request });
    });
  }

  private receive(message: FromWriter): void {
    if ("event" in message) {
      if (message.event.tell === "high_water") keepHighWater(message.event.book, message.event.n);
      this.onEvent(message.event);
      return;
    }
    const waiting = this.waiting.get(message.seq);
    this.waiting.delete(message.seq);
    if ("error" in message) waiting?.reject(asError(message.error));
    else waiting?.resolve(message.reply);
  }
}

function asError({ message, remedy, key }: WriterTrouble): WriterError {
  return new WriterError(message, remedy, key);
}

/** How many entries were made here, by book: kept where neither database nor log can take it along. */
export function highWater(): Record<string, number> {
  try {
    return JSON.parse(localStorage.getItem(HIGH_WATER) ?? "{}");
  } catch {
    return {};
  }
}

function keepHighWater(book: string, n: number): void {
  localStorage.setItem(HIGH_WATER, JSON.stringify({ ...highWater(), [book]: n }));
}
