/** The records' shapes, for whoever makes or shows them: `shapes.order`, and the types of their parsed values. */
import type { z } from "zod";
import type { design, designVersion } from "./designs";
import type { mendCode, mendsSeen } from "./mending";
import type { badRow, columnMeaning, importRecord, reading } from "./imports";
import type { careOfMachine, serviceTrips } from "./care";
import type { device, devicesNow } from "./devices";
import type { floorNow, floorRun } from "./floor";
import type { floorHistory, historyRows } from "./history";
import type { faceOf, artworkShape, handMaking, madePreview, nameRecipe, namesRun } from "./making";
import type { job, line, lineBody, order, orderBody, piece } from "./orders";
import type { plannedChore, plannedJob, planningRun, planShape, planView } from "./plans";
import type {
  change,
  catalogue,
  hoopBody,
  machineBody,
  personBody,
  productBody,
  status,
  stockBody,
  studioBody,
  studioRecord,
  threadBody,
} from "./studio";
import type { finding, problemDocument } from "./values";

export type ProblemDocument = z.output<typeof problemDocument>;
export type FindingShape = z.output<typeof finding>;
export type Device = z.output<typeof device>;
export type DevicesNow = z.output<typeof devicesNow>;
export type Status = z.output<typeof status>;
export type Change = z.output<typeof change>;
export type StudioBody = z.output<typeof studioBody>;
export type StudioRecord = z.output<typeof studioRecord>;
export type PersonBody = z.output<typeof personBody>;
export type MachineBody = z.output<typeof machineBody>;
export type HoopBody = z.output<typeof hoopBody>;
export type ThreadBody = z.output<typeof threadBody>;
export type StockBody = z.output<typeof stockBody>;
export type ProductBody = z.output<typeof productBody>;
export type PersonRecord = z.output<typeof catalogue.people.get.output>;
export type MachineRecord = z.output<typeof catalogue.machines.get.output>;
export type HoopRecord = z.output<typeof catalogue.hoops.get.output>;
export type ThreadRecord = z.output<typeof catalogue.threads.get.output>;
export type StockRecord = z.output<typeof catalogue.stock.get.output>;
export type ProductRecord = z.output<typeof catalogue.products.get.output>;
export type DesignRecord = z.output<typeof design>;
export type DesignVersion = z.output<typeof designVersion>;
export type MendCode = z.output<typeof mendCode>;
export type MendsSeen = z.output<typeof mendsSeen>;
export type OrderBody = z.output<typeof orderBody>;
export type LineBody = z.output<typeof lineBody>;
export type OrderLine = z.output<typeof line>;
export type OrderRecord = z.output<typeof order>;
export type PieceRecord = z.output<typeof piece>;
export type JobRecord = z.output<typeof job>;
export type ImportRecord = z.output<typeof importRecord>;
export type ImportReading = z.output<typeof reading>;
export type ColumnMeaning = z.output<typeof columnMeaning>;
export type BadRow = z.output<typeof badRow>;
export type PlanView = z.output<typeof planView>;
export type PlanDocument = z.output<typeof planShape>;
export type PlannedJob = z.output<typeof plannedJob>;
export type PlannedChore = z.output<typeof plannedChore>;
export type PlanningRun = z.output<typeof planningRun>;
export type HandMaking = z.output<typeof handMaking>;
export type ArtworkShape = z.output<typeof artworkShape>;
export type MadePreview = z.output<typeof madePreview>;
export type Face = z.output<typeof faceOf>;
export type NameRecipe = z.output<typeof nameRecipe>;
export type NamesRun = z.output<typeof namesRun>;
export type FloorNow = z.output<typeof floorNow>;
export type FloorRun = z.output<typeof floorRun>;
export type CareOfMachine = z.output<typeof careOfMachine>;
export type ServiceTrips = z.output<typeof serviceTrips>;
export type FloorHistory = z.output<typeof floorHistory>;
export type Learned = z.output<typeof historyRows.learnedTimes.output>["times"][number];
