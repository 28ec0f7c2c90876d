import { defineConfig } from "vitest/config";

export default defineConfig({
  esbuild: { jsx: "automatic", jsxImportSource: "preact" },
  resolve: {
    alias: {
      "fast-check": `${import.meta.dirname}/node_modules/fast-check`,
      "fake-indexeddb": `${import.meta.dirname}/node_modules/fake-indexeddb`,
      vitest: `${import.meta.dirname}/node_modules/vitest`,
    },
  },
  server: { fs: { allow: [".."] } },
  test: { include: ["../tests/phone/**/*.test.ts"], root: import.meta.dirname, dir: ".." },
});
