import { defineConfig } from "vitest/config";

/** The phone's tests lie with all other tests; their packages lie here. */
const packages = ["vitest", "fast-check", "fake-indexeddb", "idb"];
const preact = `${import.meta.dirname}/node_modules/preact/dist/preact.mjs`;

export default defineConfig({
  root: `${import.meta.dirname}/..`,
  cacheDir: `${import.meta.dirname}/node_modules/.vite`,
  resolve: {
    alias: [
      ...packages.map((name) => ({
        find: new RegExp(`^${name}(/.*)?$`),
        replacement: `${import.meta.dirname}/node_modules/${name}$1`,
      })),
      { find: /^preact$/, replacement: preact },
    ],
  },
  test: { testTimeout: 60_000, include: ["tests/phone/**/*.test.ts"] },
});
