/** As much of Node, and of a worker's files, as the tests use. */

declare module "node:fs" {
  export function readFileSync(path: string): Buffer;
  export function readFileSync(path: string, encoding: "utf-8"): string;
  export function readdirSync(path: string): string[];
  export function readdirSync(path: string, options: { withFileTypes: true }): Entry[];

  interface Entry {
    name: string;
    isDirectory(): boolean;
  }
}

declare module "node:path" {
  export function join(...parts: string[]): string;
}

declare module "node:zlib" {
  export function gunzipSync(bytes: Uint8Array): Buffer;
}

declare module "node:readline" {
  export function createInterface(from: { input: unknown }): AsyncIterable<string>;
}

declare const process: {
  argv: string[];
  stdin: unknown;
  stdout: { write(text: string): void };
  memoryUsage(): { heapUsed: number };
};

interface Buffer extends Uint8Array<ArrayBuffer> {
  subarray(from?: number, to?: number): Buffer;
  toString(encoding?: "hex" | "utf8" | "base64url"): string;
}

declare const Buffer: {
  from(text: string, encoding: "base64url" | "hex" | "utf8"): Buffer;
  from(bytes: ArrayBuffer): Buffer;
};

interface ImportMeta {
  readonly dirname: string;
}

interface FileSystemFileHandle {
  createSyncAccessHandle(): Promise<FileSystemSyncAccessHandle>;
}

interface FileSystemSyncAccessHandle {
  truncate(size: number): void;
  getSize(): number;
  read(into: Uint8Array, options: { at: number }): number;
  write(bytes: Uint8Array, options: { at: number }): number;
  flush(): void;
  close(): void;
}
