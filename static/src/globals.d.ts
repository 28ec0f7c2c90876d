/** Put in by build.mjs. */
declare const BUILD: string;
declare const WRITER_URL: string;
/** The scan worker, for the page; the decoder's wasm, for that worker; both, for the service worker. */
declare const SCAN_WORKER_URL: string;
declare const WASM_URL: string;
declare const LAZY: string[];
declare const PRECACHE: string[];
declare module "*.css";
