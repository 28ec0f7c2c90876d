/** What an error of a sync means for its book. */

import { NoAnswer, Refusal } from "../sync/api";
import { Forked } from "../sync/pull";
import type { OpenBook } from "./open_book";
import type { WriterTrouble } from "./protocol";

/** An error as the page gets it. */
export function inProtocol(error: Error): WriterTrouble {
  const { message } = error;
  if (error instanceof Refusal) return { message, remedy: error.remedy, key: error.key };
  const key = error instanceof NoAnswer ? "no_answer" : error instanceof Forked ? "forked" : "";
  return { message, remedy: "", key };
}

/** How a book stands after a sync that failed; `why` is a sentence for people, "" where there is nothing to add. */
export interface Trouble {
  sync: "offline" | "forked" | "lost" | "trouble";
  why: string;
}

/** The trouble behind an error; null for an error that has no business there. */
export function troubleOf(error: unknown): Trouble | null {
  if (error instanceof NoAnswer) return { sync: "offline", why: "" };
  if (error instanceof Forked) return { sync: "forked", why: error.message };
  if (!(error instanceof Refusal)) return null;
  return {
    sync: error.key === "lost_entries" ? "lost" : "trouble",
    why: `${error.message}. ${error.remedy}`,
  };
}

/** Let a book stand as the trouble says; one that has stopped stays so while there is no answer. */
export function takeTrouble(open: OpenBook, { sync, why }: Trouble): void {
  if (sync === "forked" || sync === "lost") {
    open.stopped = sync;
    open.ahead = null;
  }
  open.sync = open.stopped ?? sync;
  if (open.sync === sync) open.why = why;
}
