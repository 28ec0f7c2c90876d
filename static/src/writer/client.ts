/** The page's side of the writer: requests with their replies, and events. */

import type { BegunWriter } from "./begin";
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

/** It was begun by a script of its own, before this one was here. */
declare const begunWriter: BegunWriter;

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

  /** Connect to the page's writer. While another page's is at work it says `open_elsewhere` and answers nothing. */
  static connect(onEvent: (event: Event) => void): Client {
    const { worker, told } = begunWriter;
    const client = new Client(worker, onEvent);
    worker.onmessage = (message: MessageEvent<FromWriter>) => client.receive(message.data);
    for (const { data } of told) client.receive(data);
    return client;
  }

  /** `atOnce` gets the reply before anything is drawn of what came with it. */
  call<K extends keyof Replies>(
    request: Extract<Request, { do: K }>,
    atOnce?: (reply: Replies[K]) => void,
  ): Promise<Replies[K]> {
    this.seq += 1;
    const { seq } = this;
    return new Promise((resolve, reject) => {
      // The writer answers each request with the reply of its kind; on its way it was cloned and lost its type.
      const take = (given: unknown) => {
        const reply = given as Replies[K];
        resolve(reply);
        atOnce?.(reply);
      };
      this.waiting.set(seq, { resolve: take, reject });
      this.worker.postMessage({ seq, request });
    });
  }

  private receive(message: FromWriter): void {
    if ("event" in message) {
      this.take(message.event);
      return;
    }
    for (const event of message.events) this.take(event);
    const waiting = this.waiting.get(message.seq);
    this.waiting.delete(message.seq);
    if ("error" in message) waiting?.reject(asError(message.error));
    else waiting?.resolve(message.reply);
  }

  private take(event: Event): void {
    if (event.tell === "high_water") keepHighWater(event.book, event.n);
    this.onEvent(event);
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
