/** Put in by build.mjs. */
declare const BUILD: string;
declare const WRITER_URL: string;
declare const PRECACHE: string[];
declare module "*.css";
