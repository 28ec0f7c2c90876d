/**
 * Begins the writer before the page's script is even read: a start waits for both, and so for the longer of the two
 * instead of one after the other.
 */

import type { FromWriter } from "./protocol";

/** The writer, and what it has said while nobody was there to hear it. */
export interface BegunWriter {
  worker: Worker;
  told: MessageEvent<FromWriter>[];
}

const worker = new Worker(WRITER_URL);
const told: MessageEvent<FromWriter>[] = [];
worker.onmessage = (message: MessageEvent<FromWriter>) => told.push(message);
Object.assign(globalThis, { begunWriter: { worker, told } satisfies BegunWriter });
