/** Compact JWS (RFC 7515) with ES256 over WebCrypto, whose raw r||s signatures are what a JWS holds. */

import type { Jwk } from "./bodies";
import { type Bytes, base64url, concat, fromBase64url, fromHex, fromUtf8, hex, sha256, utf8 } from "./bytes";

const P256 = { name: "ECDSA", namedCurve: "P-256" } as const;
const ES256 = { name: "ECDSA", hash: "SHA-256" } as const;

/** Order of P-256 (SP 800-186, section 3.2.1.3). */
const ORDER = 0xffffffff00000000ffffffffffffffffbce6faada7179e84f3b9cac2fc632551n;
const SCALAR_BYTES = 32;

export type { Jwk };

/** A device's key pair; the private half cannot be taken out of the phone. */
export interface DeviceKey {
  privateKey: CryptoKey;
  jwk: Jwk;
  thumbprint: string;
}

/** A new key pair on P-256 whose private half cannot be exported. */
export async function makeDeviceKey(): Promise<DeviceKey> {
  const pair = await crypto.subtle.generateKey(P256, false, ["sign", "verify"]);
  const jwk = publicMembers(await crypto.subtle.exportKey("jwk", pair.publicKey));
  return { privateKey: pair.privateKey, jwk, thumbprint: await thumbprint(jwk) };
}

/** The members that name a public key, and no others. */
export function publicMembers({ x, y }: JsonWebKey): Jwk {
  return { crv: "P-256", kty: "EC", x: String(x), y: String(y) };
}

/** RFC 7638: SHA-256 of the required members in lexical order. */
export async function thumbprint(jwk: Jwk): Promise<string> {
  const { crv, kty, x, y } = jwk;
  return base64url(await sha256(utf8(JSON.stringify({ crv, kty, x, y }))));
}

/** Sign a payload; of the two forms that the signature has, it is the one with the low s. */
export async function sign(key: DeviceKey, typ: string, payload: object, withJwk = false): Promise<string> {
  const header = { alg: "ES256", kid: key.thumbprint, typ, ...(withJwk ? { jwk: key.jwk } : {}) };
  const input = `${base64url(utf8(JSON.stringify(header)))}.${base64url(utf8(JSON.stringify(payload)))}`;
  const signature = await crypto.subtle.sign(ES256, key.privateKey, utf8(input));
  const text = `${input}.${base64url(new Uint8Array(signature))}`;
  return 2n * scalars(text).s > ORDER ? otherForm(text) : text;
}

/** What was signed: a JWS without its signature. Whoever has another text over it has the same thing. */
export function signingInput(jws: string): string {
  return jws.slice(0, jws.lastIndexOf("."));
}

/** The same JWS with its signature (r, s) as (r, n - s), which verifies just as well. Throws when it is no ES256. */
export function otherForm(jws: string): string {
  const { r, s } = scalars(jws);
  const other = fromHex((ORDER - s).toString(16).padStart(2 * SCALAR_BYTES, "0"));
  return `${signingInput(jws)}.${base64url(concat(r, other))}`;
}

function scalars(jws: string): { r: Bytes; s: bigint } {
  const signature = fromBase64url(jws.slice(jws.lastIndexOf(".") + 1));
  const s = BigInt(`0x${hex(signature.slice(SCALAR_BYTES)) || "0"}`);
  if (signature.length !== 2 * SCALAR_BYTES || s === 0n || s >= ORDER)
    throw new Error("not an ES256 signature");
  return { r: signature.slice(0, SCALAR_BYTES), s };
}

/** A JWS taken apart; `input` are the bytes that were signed. */
export interface Parts {
  // biome-ignore lint/suspicious/noExplicitAny: JSON from outside; each reader checks what it uses.
  header: any;
  payload: Bytes;
  signature: Bytes;
  input: Bytes;
}

/** Take a compact JWS apart; throws if it is not one. */
export function split(jws: string): Parts {
  const [header, payload, signature, ...rest] = jws.split(".");
  if (header === undefined || payload === undefined || signature === undefined || rest.length > 0) {
    throw new Error("not a compact JWS");
  }
  return {
    header: readJson(fromBase64url(header)),
    payload: fromBase64url(payload),
    signature: fromBase64url(signature),
    input: utf8(`${header}.${payload}`),
  };
}

/** Read JSON; NaN and Infinity, which the first books may hold in headers, are read as null. */
// biome-ignore lint/suspicious/noExplicitAny: JSON from outside; each reader checks what it uses.
export function readJson(bytes: Bytes): any {
  const text = fromUtf8(bytes);
  try {
    return JSON.parse(text);
  } catch {
    return JSON.parse(text.replace(/-?\b(NaN|Infinity)\b/g, "null"));
  }
}

/** Whether a signature fits its key; throws for what is no compact JWS or no key. */
export async function verifies(jws: string, jwk: Jwk): Promise<boolean> {
  const key = await crypto.subtle.importKey("jwk", { ...jwk }, P256, false, ["verify"]);
  const { signature, input } = split(jws);
  return crypto.subtle.verify(ES256, key, signature, input);
}
