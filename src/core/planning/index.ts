export { createSearch, runRound, createBench } from "./search";
export { solve } from "./solve";
export type * from "./problem";
