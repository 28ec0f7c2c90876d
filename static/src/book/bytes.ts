/** Bytes as base64url (RFC 7515 section 2) and hex, and their hashes. */

/** Bytes of a buffer of their own, as WebCrypto and postMessage take them. */
export type Bytes = Uint8Array<ArrayBuffer>;

const TEXT = new TextEncoder();

/** A text as UTF-8; a lone surrogate becomes U+FFFD. */
export function utf8(text: string): Bytes {
  return TEXT.encode(text);
}

/** Decode strictly; throws TypeError for what is no UTF-8. */
export function fromUtf8(bytes: Bytes): string {
  return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
}

/** Encode without padding (RFC 7515 section 2). */
export function base64url(bytes: Bytes): string {
  let binary = "";
  for (const byte of bytes) binary += String.fromCharCode(byte);
  return btoa(binary).replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "");
}

/** Decode strictly: no padding, no other characters, unused bits zero. Throws otherwise. */
export function fromBase64url(text: string): Bytes {
  if (!/^[A-Za-z0-9_-]*$/.test(text) || text.length % 4 === 1) throw new Error("not base64url");
  const binary = atob(text.replaceAll("-", "+").replaceAll("_", "/"));
  const bytes = Uint8Array.from(binary, (character) => character.charCodeAt(0));
  if (base64url(bytes) !== text) throw new Error("base64url with stray bits at its end");
  return bytes;
}

/** Two lower-case digits a byte. */
export function hex(bytes: Bytes): string {
  let text = "";
  for (const byte of bytes) text += byte.toString(16).padStart(2, "0");
  return text;
}

/** The bytes of hex that is known to be good: an even number of digits, nothing else. */
export function fromHex(text: string): Bytes {
  const bytes = new Uint8Array(text.length / 2);
  for (let i = 0; i < bytes.length; i++) bytes[i] = Number.parseInt(text.slice(2 * i, 2 * i + 2), 16);
  return bytes;
}

/** The 32 bytes of SHA-256 (FIPS 180-4). */
export async function sha256(bytes: Bytes): Promise<Bytes> {
  return new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
}

/** All bytes one after another, in a new buffer. */
export function concat(...parts: Bytes[]): Bytes {
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}
