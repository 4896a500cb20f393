/**
 * Pictures of core values: a scene of plain shapes in mm, and its SVG text. The page, the printed sheet and the picture
 * tests draw the same scene. Nothing here reads a file, measures a font or touches a page.
 */
export {
  type AxisMark,
  axisMarks,
  type Block,
  type Board,
  type BoardInput,
  type BoardSpan,
  type BoardTask,
  fitTitle,
  groupTasks,
  joinLikeTasks,
  layBoard,
  type MachineLane,
  markStepMinutes,
  needlesOfRun,
  type NeedleTick,
  type NeedleUse,
  type PlacedTick,
  placeTicks,
  type TaskGroup,
  type TimeAxis,
  timeAxis,
} from "./board";
export {
  designScene,
  type DesignSceneOptions,
  type DrawnThread,
  THREAD_WIDTH_MM,
  threadStrokes,
  type ThreadStrokes,
  threadTones,
} from "./design";
export { type HemPart, hemScene, isLight, spoolScene } from "./design-hem";
export { type Scene, type Shape, svgFromScene, type SvgOptions } from "./scene";
