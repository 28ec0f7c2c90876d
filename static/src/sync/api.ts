/** The server's API as the phone uses it. Only 2xx with our own JSON is an answer; all else is no network. */

import type { Bytes } from "../book/bytes";
import { type DeviceKey, sign } from "../book/jws";
import type {
  BlobPartResponse,
  ErrorResponse,
  JoinRequest,
  JoinResponse,
  NonceRequest,
  NonceResponse,
  SessionRequest,
  SyncRequest,
  SyncResponse,
} from "./messages";

/** What a phone sends; it always names the newest head that it has checked. */
export type SyncSent = Required<Omit<SyncRequest, "leaves">>;

type Requests = JoinRequest | NonceRequest | SessionRequest | SyncRequest;

/** No answer of ours came: no network, a captive page, a server that is down. */
export class NoAnswer extends Error {
  constructor(readonly retryAfterS: number | null = null) {
    super("no answer from the server");
  }
}

/** The server answered with an error of its own. */
export class Refusal extends Error {
  constructor(
    readonly code: number,
    readonly key: string,
    message: string,
    readonly remedy: string,
  ) {
    super(message);
  }
}

/** The calls of the server; each throws NoAnswer or Refusal. */
export interface Api {
  join(token: string, name: string, key: DeviceKey): Promise<JoinResponse>;
  signIn(key: DeviceKey): Promise<void>;
  sync(book: string, request: SyncSent): Promise<SyncResponse>;
  getBlob(book: string, sha256: string): Promise<Bytes>;
  /** A large one goes in parts, from where the last attempt ended. */
  putBlob(book: string, sha256: string, bytes: Bytes): Promise<void>;
  procedures(): Promise<string>;
  /** How far this phone's clock is ahead of the server's, at least, by the last answer; null before any. */
  readonly clockAheadMs: number | null;
}

/** The server can sign nothing: it gives its books out and takes nothing in. */
export const KEY_AWAY = "key_away";

const BASE = "/api/v1";
const TIMEOUT_MS = 30_000;
const PART_BYTES = 64_000;

/** The calls over fetch, with the cookie of the session. */
export class HttpApi implements Api {
  clockAheadMs: number | null = null;

  async join(token: string, name: string, key: DeviceKey): Promise<JoinResponse> {
    const proof = await sign(key, "seamwalk-join", { token });
    return this.post("/join", { token, name, jwk: key.jwk, proof });
  }

  async signIn(key: DeviceKey): Promise<void> {
    const { nonce }: NonceResponse = await this.post("/nonce", { device: key.thumbprint });
    const proof = await sign(key, "seamwalk-session", { nonce });
    await this.post("/session", { device: key.thumbprint, proof });
  }

  async sync(book: string, request: SyncSent): Promise<SyncResponse> {
    return this.post(`/books/${book}/sync`, { ...request, leaves: true });
  }

  async getBlob(book: string, sha256: string): Promise<Bytes> {
    const response = await call(`/books/${book}/blobs/${sha256}`, { method: "GET" });
    if (response.headers.get("Content-Type") !== "application/octet-stream") throw new NoAnswer();
    return new Uint8Array(await response.arrayBuffer());
  }

  async putBlob(book: string, sha256: string, bytes: Bytes): Promise<void> {
    const path = `/books/${book}/blobs/${sha256}`;
    if (bytes.length <= PART_BYTES) {
      await json(await call(path, { method: "PUT", body: bytes }));
      return;
    }
    let { received, whole }: BlobPartResponse = await json(await call(`${path}/part`, { method: "GET" }));
    while (!whole) {
      const body = bytes.slice(received, received + PART_BYTES);
      const where = `${path}/part?at=${received}&total=${bytes.length}`;
      ({ received, whole } = await json<BlobPartResponse>(await call(where, { method: "PUT", body })));
    }
  }

  async procedures(): Promise<string> {
    return JSON.stringify(await json(await call("/procedures", { method: "GET" })));
  }

  private async post<Answer>(path: string, body: Requests): Promise<Answer> {
    const headers = { "Content-Type": "application/json" };
    const sent = Date.now();
    const response = await call(path, { method: "POST", body: JSON.stringify(body), headers });
    this.clockAheadMs = clockAhead(response.headers.get("Date"), sent, Date.now());
    return json(response);
  }
}

/**
 * How far the clock here is ahead of the server's, at least, ms; below 0 behind it, 0 where they may agree. The server
 * wrote `date` (RFC 9110, 6.6.1: whole seconds) between `sent` and `received`. Null where it says none.
 */
export function clockAhead(date: string | null, sent: number, received: number): number | null {
  const written = Date.parse(date ?? "");
  if (Number.isNaN(written)) return null;
  return Math.max(0, sent - (written + 1000)) + Math.min(0, received - written);
}

async function call(path: string, init: RequestInit): Promise<Response> {
  let response: Response;
  try {
    response = await fetch(BASE + path, {
      ...init,
      headers: { ...init.headers, "X-Seamwalk": "1" },
      redirect: "error",
      cache: "no-store",
      credentials: "same-origin",
      signal: AbortSignal.timeout(TIMEOUT_MS),
    });
  } catch {
    throw new NoAnswer();
  }
  if (!response.ok) throw await refusal(response);
  return response;
}

async function refusal(response: Response): Promise<Error> {
  const retryAfter = Number(response.headers.get("Retry-After"));
  const later = response.status === 429 || response.status === 503;
  try {
    const { error, message, remedy }: ErrorResponse = await json(response);
    if (later && error !== KEY_AWAY) return new NoAnswer(retryAfter || null);
    return new Refusal(response.status, error, message, remedy);
  } catch {
    if (later) return new NoAnswer(retryAfter || null);
    return response.status === 413 ? new Refusal(413, "too_large", "too large", "") : new NoAnswer();
  }
}

/** An answer of ours is what its schema says; anything else is no answer. */
async function json<Answer>(response: Response): Promise<Answer> {
  try {
    const body = await response.json();
    if (body?.seamwalk === 1) return body;
  } catch {
    // A page that is not our JSON is never an answer.
  }
  throw new NoAnswer();
}
