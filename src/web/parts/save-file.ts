import { type RowName, rows } from "#contract";
import { type Given, send } from "../client";
import { showTrouble } from "./notices";

/**
 * Fetches a file and saves it under the name the program gives it. Unlike a plain link, a refusal ("no plan has been
 * made yet") is said on the page instead of opening in its place.
 */
export async function saveFile(
  name: RowName,
  params: Readonly<Record<string, string>> = {},
  query: Readonly<Record<string, string>> = {},
): Promise<void> {
  try {
    const response = await send(name, { params, query } as unknown as Given<RowName>);
    const said = /filename="([^"]+)"/.exec(response.headers.get("content-disposition") ?? "");
    const address = URL.createObjectURL(await response.blob());
    const link = document.createElement("a");
    link.href = address;
    link.download = said?.[1] ?? rows[name].path.split("/").at(-1) ?? name;
    link.click();
    // The browser has taken it up by the next minute at the latest.
    window.setTimeout(() => URL.revokeObjectURL(address), 60_000);
  } catch (reason) {
    showTrouble(reason);
  }
}
