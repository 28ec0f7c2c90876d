/** Compact JWS (RFC 7515) with ES256 over WebCrypto, whose raw r||s signatures are what a JWS holds. */

import { type Bytes, base64url, fromBase64url, fromUtf8, sha256, utf8 } from "./bytes";

const P256 = { name: "ECDSA", namedCurve: "P-256" } as const;
const ES256 = { name: "ECDSA", hash: "SHA-256" } as const;

export interface Jwk {
  crv: string;
  kty: string;
  x: string;
  y: string;
}

/** A device's key pair; the private half cannot be taken out of the phone. */
export interface DeviceKey {
  privateKey: CryptoKey;
  jwk: Jwk;
  thumbprint: string;
}

export async function makeDeviceKey(): Promise<DeviceKey> {
  const pair = await crypto.subtle.generateKey(P256, false, ["sign", "verify"]);
  const jwk = publicMembers(await crypto.subtle.exportKey("jwk", pair.publicKey));
  return { privateKey: pair.privateKey, jwk, thumbprint: await thumbprint(jwk) };
}

export function publicMembers(jwk: JsonWebKey): Jwk {
  return { crv: String(jwk.crv), kty: String(jwk.kty), x: String(jwk.x), y: String(jwk.y) };
}

/** RFC 7638: SHA-256 of the required members in lexical order. */
export async function thumbprint(jwk: Jwk): Promise<string> {
  const { crv, kty, x, y } = jwk;
  return base64url(await sha256(utf8(JSON.stringify({ crv, kty, x, y }))));
}

export async function sign(key: DeviceKey, typ: string, payload: object, withJwk = false): Promise<string> {
  const header = { alg: "ES256", kid: key.thumbprint, typ, ...(withJwk ? { jwk: key.jwk } : {}) };
  const input = `${base64url(utf8(JSON.stringify(header)))}.${base64url(utf8(JSON.stringify(payload)))}`;
  const signature = await crypto.subtle.sign(ES256, key.privateKey, utf8(input));
  return `${input}.${base64url(new Uint8Array(signature))}`;
}

export interface Parts {
  // biome-ignore lint/suspicious/noExplicitAny: JSON from outside; each reader checks what it uses.
  header: any;
  payload: Bytes;
  signature: Bytes;
  input: Bytes;
}

/** Take a compact JWS apart; throws when it is none. */
export function split(jws: string): Parts {
  const [header, payload, signature, ...rest] = jws.split(".");
  if (header === undefined || payload === undefined || signature === undefined || rest.length > 0) {
    throw new Error("not a compact JWS");
  }
  return {
    header: JSON.parse(fromUtf8(fromBase64url(header))),
    payload: fromBase64url(payload),
    signature: fromBase64url(signature),
    input: utf8(`${header}.${payload}`),
  };
}

export async function verifies(jws: string, jwk: Jwk): Promise<boolean> {
  const key = await crypto.subtle.importKey("jwk", { ...jwk }, P256, false, ["verify"]);
  const { signature, input } = split(jws);
  return crypto.subtle.verify(ES256, key, signature, input);
}
