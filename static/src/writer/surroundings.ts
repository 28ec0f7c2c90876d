/** What a phone's books rest on: storage, log, server, clock. */

import type { Log } from "../store/log";
import type { PhotoFiles } from "../store/photo_files";
import type { Storage } from "../store/storage";
import type { Api } from "../sync/api";
import type { Event } from "./protocol";

/** All that is different in a test: in a browser the writer makes it. */
export interface Surroundings {
  storage: Storage;
  log: Log;
  api: Api;
  tell: (event: Event) => void;
  now: () => Date;
  /** Unsent photos, a second time. */
  photos: PhotoFiles;
  /** Bytes that this browser still keeps for us, as far as it says. */
  room: () => Promise<number>;
}
