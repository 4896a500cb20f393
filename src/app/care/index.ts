export { careAnswers, type CarePlanning, type PlannedUse } from "./answers";
export type { OrderEnd, WithMachinesAway } from "./trips";
