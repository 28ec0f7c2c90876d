/** What a scan was asked for. */

export interface Target {
  wall: string;
  tile: string;
}
