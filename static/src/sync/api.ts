/** The server's API as the phone uses it. Only 2xx with our own JSON is an answer; all else is no network. */

import type { Bytes } from "../book/bytes";
import type { DeviceKey, Jwk } from "../book/jws";
import { sign } from "../book/jws";

export interface Verdict {
  sha256: string;
  /** The id of the text that is kept: another one than was sent, where another text over its signing input came first. */
  id: string | null;
  verdict: "kept" | "again" | "held" | "refused";
  why: string | null;
  remedy: string | null;
}

/** An entry's text, or the leaf hash alone of one that this phone's role does not read. */
export type PageLeaf = string | { leaf: string };

export interface SyncAnswer {
  verdicts: Verdict[];
  entries: PageLeaf[] | null;
  /** Texts of leaves that were asked for, as far as this phone may read them. */
  texts?: { index: number; entry: string }[];
  more: boolean;
  head: string | null;
  /** Entries of anybody that wait at the office. */
  held: number;
  reading: "ok" | "sign_in" | "restored";
  /** With reading `restored`: the restores that are to be crossed. */
  restored?: string[];
}

export interface SyncRequest {
  after: number;
  entries: string[];
  /** The newest one that this phone has checked: the server compares it with what it has. */
  head: string | null;
  /** Places of leaves whose texts this phone asks for. */
  texts: number[];
}

export interface Joined {
  book: string;
  title: string;
  owner_fingerprint: string;
  device: string;
  person: string;
  role: string;
}

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

export interface Api {
  join(token: string, name: string, key: DeviceKey): Promise<Joined>;
  signIn(key: DeviceKey): Promise<void>;
  sync(book: string, request: SyncRequest): Promise<SyncAnswer>;
  getBlob(book: string, sha256: string): Promise<Bytes>;
  /** A large one goes in parts, from where the last attempt ended. */
  putBlob(book: string, sha256: string, bytes: Bytes): Promise<void>;
  procedures(): Promise<string>;
}

/** The server can sign nothing: it gives its books out and takes nothing in. */
export const KEY_AWAY = "key_away";

const BASE = "/api/v1";
const TIMEOUT_MS = 30_000;
const PART_BYTES = 64_000;

export class HttpApi implements Api {
  async join(token: string, name: string, key: DeviceKey): Promise<Joined> {
    const proof = await sign(key, "seamwalk-join", { token });
    return (await this.post("/join", {
      token,
      name,
      jwk: key.jwk satisfies Jwk,
      proof,
    })) as unknown as Joined;
  }

  async signIn(key: DeviceKey): Promise<void> {
    const { nonce } = await this.post("/nonce", { device: key.thumbprint });
    const proof = await sign(key, "seamwalk-session", { nonce });
    await this.post("/session", { device: key.thumbprint, proof });
  }

  async sync(book: string, request: SyncRequest): Promise<SyncAnswer> {
    const body = { ...request, leaves: true };
    return (await this.post(`/books/${book}/sync`, body)) as unknown as SyncAnswer;
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
    let { received, whole } = await json(await call(`${path}/part`, { method: "GET" }));
    while (!whole) {
      const at = Number(received);
      const body = bytes.slice(at, at + PART_BYTES);
      const where = `${path}/part?at=${at}&total=${bytes.length}`;
      ({ received, whole } = await json(await call(where, { method: "PUT", body })));
    }
  }

  async procedures(): Promise<string> {
    return JSON.stringify(await json(await call("/procedures", { method: "GET" })));
  }

  private async post(path: string, body: object): Promise<Record<string, unknown>> {
    const headers = { "Content-Type": "application/json" };
    return json(await call(path, { method: "POST", body: JSON.stringify(body), headers }));
  }
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
    const { error, message, remedy } = await json(response);
    if (later && error !== KEY_AWAY) return new NoAnswer(retryAfter || null);
    return new Refusal(response.status, String(error), String(message), String(remedy));
  } catch {
    if (later) return new NoAnswer(retryAfter || null);
    return response.status === 413 ? new Refusal(413, "too_large", "too large", "") : new NoAnswer();
  }
}

async function json(response: Response): Promise<Record<string, unknown>> {
  try {
    const body = await response.json();
    if (body?.seamwalk === 1) return body;
  } catch {
    // A page that is not our JSON is never an answer.
  }
  throw new NoAnswer();
}
