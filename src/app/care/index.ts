export { careAnswers, type CarePlanning, type PlannedUse } from "./answers";
export type { WithMachinesAway } from "./trips";
