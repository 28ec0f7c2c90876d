/** What feeds a tile: its circuit, phase and port, and the tile before it on either cable. */

import type { ChecksFile } from "./checks";

/** Where a tile hangs on a circuit or a data run. */
export interface Feed {
  /** Counted from 1, as they are labelled. */
  number: number;
  /** The tile before it; null where the feed itself comes in. */
  from: string | null;
}

/**
 * Both cables of a tile, null for one that its plan does not say; `behind` counts the tiles that it feeds on,
 * `backup` is a port.
 */
export interface TileCables {
  power: (Feed & { line: string | null; behind: number }) | null;
  data: (Feed & { backup: number | null }) | null;
}

/** A tile's cables as its plan has them. */
export function cablesOf(file: ChecksFile, tile: string): TileCables {
  const { circuits, runs, backup_ports } = file.cables ?? { circuits: [], runs: [], backup_ports: null };
  const position = file.tiles.findIndex(({ id }) => id === tile);
  const power = feedOf(
    file,
    circuits.map(({ tiles }) => tiles),
    position,
  );
  const data = feedOf(file, runs, position);
  const circuit = power && circuits[power.number - 1];
  return {
    power:
      power && circuit
        ? {
            ...power,
            line: circuit.line,
            behind: circuit.tiles.length - 1 - circuit.tiles.indexOf(position),
          }
        : null,
    data: data && { ...data, backup: backup_ports?.[data.number - 1] ?? null },
  };
}

/** What goes dark when a tile's electronics are taken out: what its power link and, without a backup, its data feed. */
export function darkWith(file: ChecksFile, tile: string): string[] {
  const { circuits, runs, backup_ports } = file.cables ?? { circuits: [], runs: [], backup_ports: null };
  const position = file.tiles.findIndex(({ id }) => id === tile);
  const chains = [...circuits.map(({ tiles }) => tiles), ...(backup_ports === null ? runs : [])];
  const behind = chains.flatMap((tiles) =>
    tiles.includes(position) ? tiles.slice(tiles.indexOf(position) + 1) : [],
  );
  return [tile, ...[...new Set(behind)].sort((a, b) => a - b).map((index) => file.tiles[index]?.id ?? "")];
}

function feedOf(file: ChecksFile, chains: number[][], position: number): Feed | null {
  const index = chains.findIndex((tiles) => tiles.includes(position));
  if (index < 0) return null;
  const before = chains[index]?.[chains[index].indexOf(position) - 1];
  return { number: index + 1, from: before === undefined ? null : (file.tiles[before]?.id ?? null) };
}
