export { careAnswers, type PlannedUse } from "./answers";
