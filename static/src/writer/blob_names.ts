/** Names of the texts and files that a book's entries speak of: which are here, and which this phone may not read. */

/** The blobs that a book names, by the SHA-256 of their bytes in hex. */
export class BlobNames {
  private readonly here = new Set<string>();
  private readonly named = new Set<string>();
  private readonly denied = new Set<string>();

  /** Entries speak of these. */
  name(names: string[]): void {
    for (const name of names) if (!this.here.has(name)) this.named.add(name);
  }

  /** Those that are not known to be here, and that may be had. */
  missing(): string[] {
    return [...this.named].filter((name) => !this.denied.has(name));
  }

  got(name: string): void {
    this.here.add(name);
    this.named.delete(name);
  }

  /** The server says that this phone's role may not read it: it is not asked for again in this role. */
  deny(name: string): void {
    this.denied.add(name);
  }

  isDenied(name: string): boolean {
    return this.denied.has(name);
  }

  /** Another role reads other things. */
  allowAll(): void {
    this.denied.clear();
  }
}
