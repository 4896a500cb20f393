/**
 * The answers: opens the context (store, clock, chance, log) and joins the core's modules into what the contract's
 * rows ask. It refuses to know how a request travels. Invariant: every write goes through store.write.
 */
export type { Answers, Call, Context } from "./context";
export type { Device, Devices } from "./devices";
export { readArtwork } from "./artwork-reading";
export {
  type AskedName,
  type DeviceRowName,
  type InProcess,
  openProgram,
  type Program,
  type ProgramAnswers,
  type ProgramAsked,
} from "./program";
export { BUNDLED_FONTS, type BundledFont, bundledFont, fontLicence, readOutlineFont } from "./fonts";
export { recountFloor, type Recounted } from "./floor/recount";
export { refuseApp } from "./refusals";
export { solveInWorkers } from "./solving";
export { playAsWorker } from "./what-if/worker";
export { backUp, checkData, restore, usualDataFolder } from "#store";
