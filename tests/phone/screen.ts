/** Screens drawn by preact into a page of nothing but nodes, to be read as text. */

import { type ComponentChild, h, render } from "preact";

class FakeNode {
  childNodes: FakeNode[] = [];
  parentNode: FakeNode | null = null;
  readonly attributes: { name: string; value: string }[] = [];
  readonly style = { setProperty: () => undefined, cssText: "" };
  data = "";
  value = "";

  constructor(
    readonly nodeType: number,
    readonly localName: string,
  ) {}

  get ownerDocument() {
    return document;
  }
  get namespaceURI() {
    return "http://www.w3.org/1999/xhtml";
  }
  get firstChild(): FakeNode | null {
    return this.childNodes[0] ?? null;
  }
  get nextSibling(): FakeNode | null {
    const all = this.parentNode?.childNodes ?? [];
    return all[all.indexOf(this) + 1] ?? null;
  }
  insertBefore(node: FakeNode, before: FakeNode | null): void {
    node.parentNode?.removeChild(node);
    const at = before === null ? this.childNodes.length : this.childNodes.indexOf(before);
    this.childNodes.splice(at, 0, node);
    node.parentNode = this;
  }
  appendChild(node: FakeNode): void {
    this.insertBefore(node, null);
  }
  removeChild(node: FakeNode): void {
    this.childNodes = this.childNodes.filter((child) => child !== node);
    node.parentNode = null;
  }
  remove(): void {
    this.parentNode?.removeChild(this);
  }
  setAttribute(name: string, value: unknown): void {
    this.attributes.push({ name, value: String(value) });
  }
  removeAttribute(): void {}
  addEventListener(): void {}
  removeEventListener(): void {}
  querySelectorAll(): FakeNode[] {
    return [];
  }
  getBoundingClientRect() {
    return { top: 0, bottom: 0 };
  }

  /** What a reader sees, piece by piece. */
  text(): string[] {
    return this.nodeType === 3 ? [this.data] : this.childNodes.flatMap((child) => child.text());
  }

  marks(): string[] {
    const own = this.attributes.filter(({ name }) => name === "data-test" || name === "href");
    return [...own.map(({ value }) => value), ...this.childNodes.flatMap((child) => child.marks())];
  }
}

export const document = {
  createElementNS: (_: string, name: string) => new FakeNode(1, name),
  createElement: (name: string) => new FakeNode(1, name),
  createTextNode: (data: unknown) => Object.assign(new FakeNode(3, "#text"), { data: String(data) }),
  documentElement: { lang: "en" },
  hidden: false,
  addEventListener: () => undefined,
  removeEventListener: () => undefined,
};

/**
 * Draw once, read, and take away again before any effect runs. Preact asks for the DOM's own nodes and for a component
 * of any props, of which these are less and more.
 */
/** What screens ask of a browser when they are drawn: how large they are, and to be told. */
Object.assign(globalThis, {
  window: { addEventListener: () => undefined, removeEventListener: () => undefined, innerHeight: 0 },
  addEventListener: () => undefined,
  removeEventListener: () => undefined,
  scrollTo: () => undefined,
  ResizeObserver: class {
    observe(): void {}
    disconnect(): void {}
  },
});

export function read<P extends object>(component: (props: P) => ComponentChild, props: P): string {
  return drawn(component, props, (root) => root.text().join(" "));
}

/** What tests and links know the parts of a screen by: each `data-test` and each `href`, a line for each. */
export function marks<P extends object>(component: (props: P) => ComponentChild, props: P): string {
  return drawn(component, props, (root) => root.marks().join("\n"));
}

function drawn<P extends object>(
  component: (props: P) => ComponentChild,
  props: P,
  look: (root: FakeNode) => string,
): string {
  const root = new FakeNode(1, "div");
  try {
    render(h(component as never, props as never), root as never);
    return look(root);
  } finally {
    render(null, root as never);
  }
}
