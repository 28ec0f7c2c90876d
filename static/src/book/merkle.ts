/** The Merkle tree of RFC 9162 section 2.1, kept as a frontier so that appending needs no old leaves. */

import { type Bytes, concat, sha256 } from "./bytes";
import { must } from "./must";

const LEAF_PREFIX: Bytes = new Uint8Array([0]);
const NODE_PREFIX: Bytes = new Uint8Array([1]);

/** SHA-256 of 0x00 and the data. */
export function leafHash(data: Bytes): Promise<Bytes> {
  return sha256(concat(LEAF_PREFIX, data));
}

/** SHA-256 of 0x01 and both children. */
export function nodeHash(left: Bytes, right: Bytes): Promise<Bytes> {
  return sha256(concat(NODE_PREFIX, left, right));
}

/** The roots of the perfect subtrees, largest first: one for each set bit of `size`. */
export interface Frontier {
  size: number;
  roots: Bytes[];
}

/** The frontier of a tree without leaves; its root is SHA-256 of nothing. */
export const EMPTY: Frontier = { size: 0, roots: [] };

/** The frontier after these leaf hashes, in order. */
export async function extend(frontier: Frontier, leaves: Bytes[]): Promise<Frontier> {
  let size = frontier.size;
  const roots = [...frontier.roots];
  for (const leaf of leaves) {
    let node = leaf;
    for (let carry = size; carry % 2 === 1; carry = (carry - 1) / 2) {
      node = await nodeHash(must(roots.pop()), node);
    }
    roots.push(node);
    size += 1;
  }
  return { size, roots };
}

/** The root of the whole tree. */
export async function rootHash(frontier: Frontier): Promise<Bytes> {
  let node = frontier.roots.at(-1);
  if (node === undefined) return sha256(new Uint8Array());
  for (const sibling of frontier.roots.slice(0, -1).reverse()) node = await nodeHash(sibling, node);
  return node;
}
