import { refusals } from "#core/base";

/** What is refused about tablets and phones that are let in. */
export const refuseDevices = refusals({
  "device-unknown": {
    status: 404,
    title: "No such device is let in",
    advice: "Load the list again; it may have been turned out meanwhile.",
  },
  "device-name-taken": {
    status: 409,
    title: "The name is taken",
    advice: "Choose another: changes are told by the name of the device that made them.",
  },
  "devices-many": {
    status: 409,
    title: "Many devices are let in already",
    advice: "Turn out those that are no longer used.",
  },
});
