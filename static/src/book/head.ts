/** Signed heads: the size and root of a book at one moment. */

import { fromUtf8 } from "./bytes";
import { type Jwk, split, thumbprint, verifies } from "./jws";

/**
 * What a head signs: the `size` first leaves of the book have this `root` (hex); `epoch` counts restores, `at` is
 * UTC.
 */
export interface Head {
  book: string;
  epoch: number;
  size: number;
  root: string;
  at: string;
}

/** Read a head and verify it under the head key; throws when it is malformed or another's. */
export async function readHead(jws: string, key: Jwk): Promise<Head> {
  const { header, payload } = split(jws);
  if (header.typ !== "seamwalk-head" || header.kid !== (await thumbprint(key))) {
    throw new Error("head: signed as something else or by another key");
  }
  if (!(await verifies(jws, key))) throw new Error("head: the signature does not fit");
  return JSON.parse(fromUtf8(payload));
}
