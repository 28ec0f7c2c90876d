/** Made from the server's models by tests/vectors/make_shapes.py; not to be edited. */

/**
 * How many bytes of a blob are here, and whether that is all of it.
 */
export interface BlobPartResponse {
  seamwalk: 1;
  received: number;
  whole: boolean;
}
/**
 * The leaf hash of an entry that the phone's role does not read.
 */
export interface EntryLeaf {
  leaf: string;
}
/**
 * The text of a leaf that was asked for.
 */
export interface EntryText {
  index: number;
  entry: string;
}
/**
 * What became of one text; `id` and `index` are those of the text that stands for its entry.
 *
 * `fork` tells that the device has written another entry under the same number.
 */
export interface EntryVerdict {
  sha256: string;
  id: string | null;
  verdict: "kept" | "again" | "held" | "refused";
  index: number | null;
  why: string | null;
  detail: string | null;
  remedy: string | null;
  fork: boolean;
}
/**
 * What is wrong and what to do; `field` names the member that was wrong.
 */
export interface ErrorResponse {
  seamwalk: 1;
  error: string;
  message: string;
  remedy: string;
  field?: string | null;
}
/**
 * What runs here.
 */
export interface HealthResponse {
  seamwalk: 1;
  version: string;
  database: "sqlite" | "postgresql";
  database_version: string;
  writers: string;
}
/**
 * A phone with an invite: `proof` is a JWS of typ `seamwalk-join` over `{"token": ...}` by its key.
 */
export interface JoinRequest {
  token: string;
  jwk: Jwk;
  name: string;
  /**
   * A compact JWS (RFC 7515).
   */
  proof: string;
}
/**
 * A public P-256 key (RFC 7517).
 */
export interface Jwk {
  crv: "P-256";
  kty: "EC";
  x: string;
  y: string;
}
/**
 * The book that a phone is in now, and as whom.
 */
export interface JoinResponse {
  seamwalk: 1;
  book: string;
  title: string;
  owner_fingerprint: string;
  device: string;
  person: string;
  role: string;
}
/**
 * A device that wants to sign in.
 */
export interface NonceRequest {
  device: string;
}
/**
 * A challenge to sign within five minutes.
 */
export interface NonceResponse {
  seamwalk: 1;
  nonce: string;
}
/**
 * Success, with nothing to add.
 */
export interface OkResponse {
  seamwalk: 1;
}
/**
 * The procedures that come with the program, texts by language; `edition` is their hash.
 */
export interface ProceduresResponse {
  seamwalk: 1;
  edition: string;
  v: number;
  procedures: {
    [k: string]: unknown;
  };
  texts: {
    [k: string]: {
      [k: string]: string;
    };
  };
}
/**
 * A device that signs in: `proof` is a JWS of typ `seamwalk-session` over `{"nonce": ...}` by its key.
 */
export interface SessionRequest {
  device: string;
  /**
   * A compact JWS (RFC 7515).
   */
  proof: string;
}
/**
 * How many entries the phone has, what it brings, and the newest head that it has checked.
 *
 * `leaves` tells that it takes bare leaves; `texts` are indexes of leaves whose texts it asks for.
 */
export interface SyncRequest {
  after: number;
  /**
   * Compact JWS, one an entry.
   */
  entries: string[];
  head?: string | null;
  texts?: number[];
  leaves?: boolean;
}
/**
 * A verdict for each text in their order, and a page of the book if the phone may read.
 */
export interface SyncResponse {
  seamwalk: 1;
  reading: "ok" | "sign_in" | "restored";
  verdicts: EntryVerdict[];
  entries: (string | EntryLeaf)[] | null;
  more: boolean;
  head: string | null;
  held: number;
  restored: string[];
  texts: EntryText[];
}
