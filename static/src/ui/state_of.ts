/** State of one thing on a screen that stays while another comes in its place. */

import { useReducer, useRef } from "preact/hooks";

interface Held<T> {
  key: string;
  value: T;
}

/**
 * What `begin` gave when `key` came, until it is set: begun anew with another key. Setting it from what was drawn for
 * an earlier key changes nothing any more.
 */
export function useStateOf<T>(key: string, begin: () => T): [T, (value: T) => void] {
  const held = useRef<Held<T> | null>(null);
  const [, drawAnew] = useReducer((times: number) => times + 1, 0);
  const own = held.current?.key === key ? held.current : { key, value: begin() };
  held.current = own;
  const set = (value: T) => {
    const isOther = value !== own.value;
    own.value = value;
    if (isOther && held.current === own) drawAnew(undefined);
  };
  return [own.value, set];
}
