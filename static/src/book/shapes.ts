/**
 * What readers of bodies rely on, by type: less than the schemas that the server holds entries to (seamwalk.book.types),
 * so that every version that fits is read. An entry of a shape that nobody here knows is kept and changes nothing.
 */

import type { Bodies } from "./bodies";

// biome-ignore lint/suspicious/noExplicitAny: a value of any shape is asked about here.
type Is = (value: any) => boolean;

const text: Is = (value) => typeof value === "string";
const number: Is = (value) => typeof value === "number";
const object: Is = (value) => typeof value === "object" && value !== null && !Array.isArray(value);
const truth: Is = (value) => typeof value === "boolean";
/** Left out, or null, or that. */
const maybe =
  (is: Is): Is =>
  (value) =>
    value == null || is(value);
const list =
  (is: Is): Is =>
  (value) =>
    Array.isArray(value) && value.every(is);
const one =
  (...names: string[]): Is =>
  (value) =>
    names.includes(value);
const each =
  (fields: Record<string, Is>): Is =>
  (value) =>
    object(value) && Object.entries(fields).every(([name, is]) => is(value[name]));

const told = { photo_blobs: maybe(list(text)), note_blob: maybe(text) };
const weight = one("stop", "show", "cosmetic");
const found = each({
  ...told,
  checks: list(text),
  result: one("ok", "fault", "not_reached"),
  reason: maybe(text),
  answers: maybe(list(text)),
  reopens: maybe(list(text)),
  ahead: maybe(each({ reason: text, missing: maybe(list(text)), held: maybe(list(text)) })),
});

const SHAPES: Partial<Record<keyof Bodies, Is>> = {
  book_opened: each({ owner_jwk: object, head_jwk: object, epoch: number }),
  rules_begun: each({ rules: number }),
  device_admitted: each({ device: text, person: text, role: text, name_blob: text }),
  device_revoked: each({ device: text }),
  entry_admitted: each({ entry: text }),
  restored: each({ epoch: number, base_size: number, base_root: text, head_jwk: object }),
  head_key_changed: each({ epoch: number, head_jwk: object }),
  plan_set: each({ wall: text, title: maybe(text), replaces: maybe(text), checks_file: maybe(text) }),
  stock_listed: each({ stock_file: text }),
  contacts_listed: each({ contacts_blob: text }),
  procedures_listed: each({ edition_file: text }),
  prep_listed: each({ prep_file: text }),
  tile_bound: each({ wall: text, tile: text, item: maybe(text), tag: maybe(text), replaces: list(text) }),
  found: (body) =>
    found(body) && (body.result === "fault" ? weight(body.weight) : (body.weight ?? null) === null),
  withdrawn: each({ entry: text }),
  swapped: each({ ...told, reopens: list(text), in: maybe(text), out: maybe(text) }),
  stop_released: each({ fault: text, check: text, duty: text }),
  circuits_switched: each({ wall: text, circuits: list(text), live: truth }),
  strike_opened: each({ wall: text, tiles: maybe(list(text)), reason: text }),
  strike_closed: each({ opened: text }),
  pace_answered: each({ entries: list(text), answer: text }),
  procedure_walked: each({ ...told, procedure: text, at: text, reason: maybe(text) }),
  work_shared: each({
    wall: text,
    walk: text,
    parts: list(each({ person: text, first: number, last: number })),
  }),
  signed_off: each({
    statement: text,
    wall: text,
    plan: text,
    epoch: number,
    size: number,
    own: list(text),
    exceptions: list(each({ check: text })),
  }),
  item_seen: each({ items: list(text), case: maybe(text), stage: text, replaces: maybe(list(text)) }),
  case_closed: each({ case: text, stage: text, items: list(text) }),
  parts_counted: each({ stage: text, part: text, of: text, count: number }),
  item_looked_at: each({
    ...told,
    item: text,
    stage: text,
    damage: maybe(list(each({ part: text, what: text, weight: text }))),
  }),
  item_benched: each({ ...told, item: text, step: text, result: text }),
  hire_handed_over: each({
    ...told,
    hire: text,
    leg: text,
    party_blob: text,
    items: list(text),
    firmware: maybe(text),
    configuration: maybe(text),
  }),
  countersigned: each({ entry: text, agrees: truth, name_blob: text, note_blob: maybe(text) }),
};

const SHAPE_OF = new Map<string, Is>(Object.entries(SHAPES));

/** Whether a body has what readers of its type rely on; nobody here reads a type that is not in the table. */
export function isShaped(type: string, body: unknown): boolean {
  return SHAPE_OF.get(type)?.(body) ?? true;
}
