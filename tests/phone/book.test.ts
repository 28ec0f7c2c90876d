import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  type Bytes,
  base64url,
  fromBase64url,
  fromHex,
  fromUtf8,
  hex,
  sha256,
  utf8,
} from "../../static/src/book/bytes";
import { makeDeviceKey, publicMembers, sign, split, verifies } from "../../static/src/book/jws";
import { EMPTY, extend, leafHash, rootHash } from "../../static/src/book/merkle";
import { at } from "../../static/src/book/must";
import jws from "../vectors/jws.json";
import merkle from "../vectors/merkle.json";

/** MTH of RFC 9162 section 2.1.1, transcribed. */
async function plainRoot(leaves: Bytes[]): Promise<Bytes> {
  if (leaves.length === 0) return sha256(new Uint8Array());
  if (leaves.length === 1) return sha256(new Uint8Array([0, ...at(leaves, 0)]));
  let k = 1;
  while (k * 2 < leaves.length) k *= 2;
  const [left, right] = await Promise.all([plainRoot(leaves.slice(0, k)), plainRoot(leaves.slice(k))]);
  return sha256(new Uint8Array([1, ...left, ...right]));
}

describe("the Merkle tree", () => {
  it("is the reference tree (source in the vector file)", async () => {
    const leaves = await Promise.all(merkle.leaves_hex.map((leaf) => leafHash(fromHex(leaf))));
    for (const [size, root] of merkle.roots_by_size.entries()) {
      expect(hex(await rootHash(await extend(EMPTY, leaves.slice(0, size))))).toBe(root);
    }
  });

  it("is the plain tree of the RFC, however it is cut into pages", async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.uint8Array({ maxLength: 3 }), { maxLength: 40 }),
        fc.nat(40),
        async (data, cut) => {
          const bytes = data.map((item) => new Uint8Array(item));
          const leaves = await Promise.all(bytes.map(leafHash));
          const half = await extend(EMPTY, leaves.slice(0, cut));
          const whole = await extend(half, leaves.slice(cut));
          expect(hex(await rootHash(whole))).toBe(hex(await plainRoot(bytes)));
        },
      ),
      { numRuns: 30 },
    );
  });
});

describe("JWS", () => {
  it("reads and verifies the example of RFC 7515 A.3", async () => {
    expect(await verifies(jws.compact, publicMembers(jws.jwk))).toBe(true);
    expect(fromUtf8(split(jws.compact).payload)).toBe(jws.payload_utf8);
    expect(await verifies(jws.compact.replace(".D", ".E"), publicMembers(jws.jwk))).toBe(false);
  });

  it("signs what it verifies, and a flipped character shows", async () => {
    const key = await makeDeviceKey();
    const text = await sign(key, "seamwalk-entry", { a: 1 }, true);
    expect(split(text).header).toMatchObject({ alg: "ES256", kid: key.thumbprint, jwk: key.jwk });
    expect(await verifies(text, key.jwk)).toBe(true);
    const [head, body, signature] = text.split(".");
    expect(await verifies(`${head}.${base64url(utf8('{"a":2}'))}.${signature}`, key.jwk)).toBe(false);
    expect(body).toBe(base64url(utf8('{"a":1}')));
  });

  it("takes base64url strictly", () => {
    for (const wrong of ["A", "AA=", "A+", "AB", "é"]) expect(() => fromBase64url(wrong)).toThrow();
    fc.assert(
      fc.property(fc.uint8Array(), (data) => {
        expect(fromBase64url(base64url(new Uint8Array(data)))).toEqual(new Uint8Array(data));
      }),
    );
  });
});
