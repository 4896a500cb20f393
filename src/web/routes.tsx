import {
  createRootRoute,
  createRoute,
  createRouter,
  lazyRouteComponent,
  Outlet,
  useLocation,
} from "@tanstack/react-router";
import { NotLetIn } from "./pairing/not-let-in";
import { PageMissing, PageTrouble } from "./parts/page-trouble";
import { isPlacing, PlaceFrame } from "./placing/frame";
import { Shell } from "./shell";
import { FloorFrame, isFloor } from "./station/frame";

/** Stations fill their screen, the pairing page stands alone; every other page stands among the ways to the others. */
function Frame() {
  const pathname = useLocation({ select: (location) => location.pathname });
  if (pathname === "/pair") return <Outlet />;
  return (
    <>
      <NotLetIn />
      {isFloor(pathname) ? <FloorFrame /> : isPlacing(pathname) ? <PlaceFrame /> : <Shell />}
    </>
  );
}

/** The pages by the trade's words. Each is loaded when it is opened. */
const root = createRootRoute({
  component: Frame,
  notFoundComponent: lazyRouteComponent(() => import("./parts/not-found"), "NotFound"),
});

/** A page that cannot be fetched must not make the window load itself anew: with the program away, nothing would be left. */
const fetched = (load: () => Promise<Record<string, unknown>>) => () =>
  load().catch((reason: unknown) => {
    throw new PageMissing(String(reason));
  });

const page = <const P extends string>(path: P, load: () => Promise<Record<string, unknown>>, name: string) =>
  createRoute({
    getParentRoute: () => root,
    path,
    // Filters live in the address, so that a list can be linked to; each page reads the words it knows.
    validateSearch: (search: Record<string, unknown>): Record<string, string | undefined> =>
      Object.fromEntries(
        Object.entries(search).map(([key, value]) => [
          key,
          value === undefined || value === null ? undefined : String(value),
        ]),
      ),
    component: lazyRouteComponent(
      fetched(load) as () => Promise<Record<string, () => React.JSX.Element>>,
      name,
    ),
  });

const tree = root.addChildren([
  page("/", () => import("./today/page"), "TodayPage"),
  page("/orders", () => import("./orders/page"), "OrdersPage"),
  page("/orders/new", () => import("./orders/new"), "NewOrderPage"),
  page("/orders/import", () => import("./imports/page"), "ImportPage"),
  page("/orders/$id", () => import("./orders/one"), "OrderPage"),
  page("/pieces/$id", () => import("./pieces/page"), "PiecePage"),
  page("/designs", () => import("./designs/page"), "DesignsPage"),
  page("/designs/lettering", () => import("./designs/making/page"), "LetteringPage"),
  page("/designs/artwork", () => import("./designs/making/page"), "ArtworkPage"),
  page("/designs/names", () => import("./designs/making/names"), "NamesPage"),
  page("/designs/$id", () => import("./designs/one"), "DesignPage"),
  page("/threads", () => import("./threads/page"), "ThreadsPage"),
  page("/machines", () => import("./machines/page"), "MachinesPage"),
  page("/station/$id", () => import("./station/page"), "StationPage"),
  page("/hands/$id", () => import("./station/hands"), "HandsPage"),
  page("/place/$id", () => import("./placing/page"), "PlacePage"),
  page("/what-if", () => import("./what-if/page"), "WhatIfPage"),
  page("/costs", () => import("./costs/page"), "CostsPage"),
  page("/history", () => import("./history/page"), "HistoryPage"),
  page("/products", () => import("./studio/products"), "ProductsPage"),
  page("/pair", () => import("./pairing/page"), "PairingPage"),
  page("/studio", () => import("./studio/page"), "StudioPage"),
]);

export const router = createRouter({
  routeTree: tree,
  defaultPreload: "intent",
  defaultErrorComponent: PageTrouble,
  scrollRestoration: true,
});

declare module "@tanstack/react-router" {
  interface Register {
    router: typeof router;
  }
}
