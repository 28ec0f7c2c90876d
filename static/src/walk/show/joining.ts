/** Invites as they are scanned or pasted, and why one lets nobody in. */

/** What an invite's link holds behind its #: a secret that is good once, and whose the show's book must be. */
export interface Invite {
  token: string;
  fingerprint: string;
}

/** An invite, or what is wrong with what was scanned: it is not whole, or it is for another server's app. */
export type ReadInvite = { invite: Invite } | { wrong: "cut" } | { wrong: "elsewhere"; host: string };

/** Both parts are 32 bytes in base64url. */
const INVITE = /^(?:(https?:\/\/([^/\s]+))\/\S*#join=)?([\w-]{43})\.([\w-]{43})$/;

/** Read an invite by its grammar; it is never followed as an address. `origin` is that of this app. */
export function readInvite(text: string, origin: string): ReadInvite {
  const [, from = origin, host = "", token, fingerprint] = INVITE.exec(text.trim()) ?? [];
  if (token === undefined || fingerprint === undefined) return { wrong: "cut" };
  if (from !== origin) return { wrong: "elsewhere", host };
  return { invite: { token, fingerprint } };
}

/** Why a phone did not get in, as far as it is known. */
export type JoinTrouble = "offline" | "used" | "expired" | "unknown" | "other_owner" | "key_away" | "failed";

const TROUBLES: Record<string, JoinTrouble> = {
  no_answer: "offline",
  forked: "other_owner",
  invite_used: "used",
  invite_expired: "expired",
  invite_unknown: "unknown",
  key_away: "key_away",
};

/** The trouble behind the key of a writer's error. */
export function joinTrouble(key: string): JoinTrouble {
  return TROUBLES[key] ?? "failed";
}

/** Whether the same invite may still let this phone in. */
export function isWorthAnotherTry(trouble: JoinTrouble): boolean {
  return ["offline", "key_away", "failed"].includes(trouble);
}
