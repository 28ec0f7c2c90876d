/** Fingers on a map: a tap picks, a double tap and two fingers make it larger, a drag moves it. */

import { useRef } from "preact/hooks";
import { type Extent, moved, type Point, type View, zoomed } from "./map_view";

const DRAG_PX = 10;
const DOUBLE_MS = 350;
const DOUBLE_SCALE = 2.5;

interface Map_ {
  extent: Extent;
  view: View;
  setView: (change: (view: View) => View) => void;
  /** A tap at a point of the map, in cells. */
  onTap: (at: Point) => void;
  /** The tap before was the first of two. */
  onUntap: () => void;
}

/** A finger that is down: where it is, where it came down, and whether it went away from there. */
interface Finger {
  now: Point;
  from: Point;
  dragged: boolean;
}

/** What the frame of an SVG map listens to: a tap on one of its buttons is none on the map. */
export function useFingers({ extent, view, setView, onTap, onUntap }: Map_) {
  const down = useRef(new Map<number, Finger>());
  /** The tap before, and what was shown then: what a tap picks is shown larger, and a second one is no tap on that. */
  const before = useRef<{ ms: number; view: View; at: Point } | null>(null);

  const onPointerDown = (event: PointerEvent) => {
    if (event.target instanceof Element && event.target.closest("button")) return;
    const at = { x: event.clientX, y: event.clientY };
    down.current.set(event.pointerId, { now: at, from: at, dragged: false });
    if (down.current.size > 1) for (const finger of down.current.values()) finger.dragged = true;
  };

  const onPointerMove = (event: PointerEvent) => {
    const finger = down.current.get(event.pointerId);
    const svg = mapIn(event);
    if (finger === undefined || svg === null) return;
    const was = finger.now;
    const now = { x: event.clientX, y: event.clientY };
    finger.dragged ||= Math.hypot(now.x - finger.from.x, now.y - finger.from.y) > DRAG_PX;
    if (!finger.dragged) return;
    const other = [...down.current.entries()].find(([id]) => id !== event.pointerId)?.[1].now;
    finger.now = now;
    const [a, b] = [cellsAt(svg, was), cellsAt(svg, now)];
    if (other === undefined) setView((is) => moved(extent, is, { x: a.x - b.x, y: a.y - b.y }));
    else setView((is) => zoomed(extent, is, apart(now, other) / apart(was, other), cellsAt(svg, other)));
  };

  const onPointerUp = (event: PointerEvent) => {
    const finger = down.current.get(event.pointerId);
    down.current.delete(event.pointerId);
    const svg = mapIn(event);
    if (finger === undefined || finger.dragged || svg === null) return;
    const at = cellsAt(svg, finger.now);
    const first = before.current;
    if (first !== null && event.timeStamp - first.ms < DOUBLE_MS) {
      before.current = null;
      onUntap();
      setView(() => zoomed(extent, first.view, DOUBLE_SCALE, first.at));
      return;
    }
    before.current = { ms: event.timeStamp, view, at };
    onTap(at);
  };

  const onPointerCancel = (event: PointerEvent) => {
    down.current.delete(event.pointerId);
  };

  return { onPointerDown, onPointerMove, onPointerUp, onPointerCancel, onPointerLeave: onPointerCancel };
}

function mapIn({ currentTarget: frame }: PointerEvent): SVGSVGElement | null {
  return frame instanceof Element ? frame.querySelector<SVGSVGElement>("svg.map") : null;
}

function apart(one: Point, other: Point): number {
  return Math.max(1, Math.hypot(one.x - other.x, one.y - other.y));
}

/** A point of the screen in the map's own units. */
function cellsAt(svg: SVGSVGElement, { x, y }: Point): Point {
  const matrix = svg.getScreenCTM();
  const point = new DOMPoint(x, y).matrixTransform(matrix?.inverse());
  return { x: point.x, y: point.y };
}
