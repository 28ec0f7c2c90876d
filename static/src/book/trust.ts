/**
 * Who may write in a book, so far as a phone must know: whether the office admits a phone, and which entries only a
 * twin let in. Rules as in server/seamwalk/book/trust.py, where they decide; signatures are judged there.
 */

import { type EntryOf, isSame, type KeptEntry, type Statement } from "./entry";
import type { Jwk } from "./jws";
import { isAmong } from "./names";
import roles from "./roles.json";

interface Rights {
  writes: string[];
  statements: Statement[];
  duties: string[];
}

/** What each role may write, by entry type, and which statements it may sign. */
// Made from the server's roles, which name statements alone: a JSON file has no narrower type than text.
const RIGHTS = roles as Record<string, Rights>;
const NONE: Rights = { writes: [], statements: [], duties: [] };

/** What a role may do; nothing where nobody here knows it. */
export function rightsOf(role: string): Rights {
  return (Object.hasOwn(RIGHTS, role) ? RIGHTS[role] : undefined) ?? NONE;
}

const KNOWN = new Set(Object.values(RIGHTS).flatMap(({ writes }) => writes));
const OWNER = "office";

interface Device {
  key: Jwk;
  role: string;
  revoked: boolean;
}

/** From these rules on a server takes no second text for another entry, and the office's newest word holds. */
const KNOWS_TWINS = 2;

/** The devices of a book after the entries applied so far. */
export class Trust {
  /** The number of the rules that hold. */
  rules = 1;

  private constructor(
    private readonly devices: Map<string, Device>,
    private readonly letIn: Set<string>,
    /** By device the `at` of the newest that the office has said of it. */
    private readonly said: Map<string, string>,
  ) {}

  static empty(): Trust {
    return new Trust(new Map(), new Set(), new Map());
  }

  copy(): Trust {
    return new Trust(
      new Map([...this.devices].map(([id, device]) => [id, { ...device }])),
      new Set(this.letIn),
      new Map(this.said),
    );
  }

  /** Whether an entry may have a place in the book, given all that was applied before it. */
  takes(entry: KeptEntry): boolean {
    const device = this.devices.get(entry.device);
    if (entry.type === "book_opened") return this.devices.size === 0;
    if (device === undefined) return false;
    if (isAmong(entry, this.letIn)) return true;
    return !device.revoked && mayWrite(device.role, entry);
  }

  /** Whether the office has said something newer of the device that an entry admits or revokes. */
  isOutdated(entry: KeptEntry): boolean {
    return this.rules >= KNOWS_TWINS && isOfDevice(entry) && entry.at < this.saidAt(entry.body.device);
  }

  private saidAt(device: string): string {
    return this.said.get(device) ?? "";
  }

  apply(entry: KeptEntry): void {
    const { type, body } = entry;
    if (isOfDevice(entry) && entry.at > this.saidAt(entry.body.device))
      this.said.set(entry.body.device, entry.at);
    if ((type === "book_opened" || type === "rules_begun") && "rules" in body)
      this.rules = Math.max(this.rules, body.rules);
    if (type === "book_opened") this.admit(entry.device, body.owner_jwk, OWNER);
    else if (type === "device_admitted") this.admit(body.device, body.jwk, body.role);
    else if (type === "entry_admitted") this.letIn.add(body.entry);
    else if (type === "device_revoked") this.revoke(body.device);
  }

  private revoke(device: string): void {
    const known = this.devices.get(device);
    if (known) known.revoked = true;
  }

  private admit(device: string, key: Jwk, role: string): void {
    this.devices.set(device, { key, role, revoked: false });
  }

  admits(device: string): boolean {
    return this.devices.get(device)?.revoked === false;
  }

  keyOf(device: string): Jwk | null {
    return this.devices.get(device)?.key ?? null;
  }

  /** A device's role, null while the book does not know it. */
  roleOf(device: string): string | null {
    return this.devices.get(device)?.role ?? null;
  }
}

/** Whether an entry says of a device that it may write, or may not. */
function isOfDevice(entry: KeptEntry): entry is EntryOf<"device_admitted" | "device_revoked"> {
  return entry.type === "device_admitted" || entry.type === "device_revoked";
}

/** A type that nobody here knows was judged by a newer server. */
function mayWrite(role: string, { type, body }: KeptEntry): boolean {
  if (!KNOWN.has(type)) return true;
  const rights = rightsOf(role);
  if (!rights.writes.includes(type)) return false;
  if (type === "signed_off") return rights.statements.includes(body.statement);
  return type !== "stop_released" || rights.duties.includes(body.duty);
}

/** Which entries of a book have no effect, judged one after another in the order of the book. */
export class Voids {
  /** By all that has an effect. */
  trust = Trust.empty();
  /** By everything, as a server that did not know of twins took it; null until there is one. */
  private fooled: Trust | null = null;
  private readonly byNumber = new Map<string, KeptEntry[]>();

  /** Take the next entry into account; says whether and why it is void. */
  judge(entry: KeptEntry): KeptEntry["void"] {
    const found = this.why(entry);
    if (found !== null) this.fooled ??= this.trust.copy();
    this.fooled?.apply(entry);
    if (found === null) this.trust.apply(entry);
    return found;
  }

  private why(entry: KeptEntry): KeptEntry["void"] {
    const number = `${entry.device}/${entry.n}`;
    const before = this.byNumber.get(number) ?? [];
    if (before.some((other) => isSame(other, entry))) return "twin";
    this.byNumber.set(number, [...before, entry]);
    if (this.trust.isOutdated(entry)) return "outdated";
    if (this.fooled === null || this.trust.rules >= KNOWS_TWINS || this.trust.takes(entry)) return null;
    return this.fooled.takes(entry) ? "let_in_by_twin" : null;
  }
}
