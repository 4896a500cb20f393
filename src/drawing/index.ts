/**
 * Pictures of core values: a scene of plain shapes in mm, and its SVG text. The page, the printed sheet and the picture
 * tests draw the same scene. Nothing here reads a file, measures a font or touches a page.
 */
export {
  type Block,
  type Board,
  type BoardInput,
  type BoardTask,
  groupTasks,
  joinLikeTasks,
  layBoard,
  type MachineLane,
  needlesOfRun,
  type NeedleTick,
  type NeedleUse,
  type TaskGroup,
} from "./board";
export {
  type AxisMark,
  axisMarks,
  type BoardSpan,
  markStepMinutes,
  type TimeAxis,
  timeAxis,
} from "./time-axis";
export { fitTitle, type PlacedTick, placeTicks } from "./board-fit";
export {
  designScene,
  type DesignSceneOptions,
  type DrawnThread,
  THREAD_WIDTH_MM,
  threadStrokes,
  type ThreadStrokes,
  threadTones,
} from "./design";
export { DENSITY_STEPS, densityGrid, type DensityGrid, densityScene, densityStep } from "./density-map";
export { type HemPart, hemScene, isLight, spoolScene } from "./design-hem";
export { type ProofInput, proofScene } from "./proof";
export { type Scene, type Shape, svgFromScene, type SvgOptions } from "./scene";
