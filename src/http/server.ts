import { randomBytes } from "node:crypto";
import fastify, { type FastifyInstance } from "fastify";
import type { Program } from "#app";
import { takeBodies } from "./bodies";
import { deviceAnswers } from "./devices";
import { guard } from "./guard";
import { lanOf } from "./lan";
import { isThisComputer, type ShopNetwork } from "./lan-names";
import { liveEvents } from "./live";
import { pages, readPages } from "./pages";
import { makePairing } from "./pairing";
import { bugProblem, PROBLEM_TYPE, problemOf, refusalOf } from "./problems";
import { routes } from "./routes";
import { cookieName } from "./session";

export interface ServerAsked {
  readonly program: Program;
  /** The folder of the built page. */
  readonly web: string;
  /** Known before listening only in tests. */
  readonly port?: number;
  readonly checkAnswers?: boolean;
  /** Given with --lan: what networks this computer is on. Absent, only this computer is listened to. */
  readonly network?: (() => ShopNetwork) | undefined;
}

export interface Server {
  readonly app: FastifyInstance;
  /** Listens, on this computer only unless a network was given; gives this computer's own address. Throws EADDRINUSE as it comes. */
  listen(port: number): Promise<string>;
  /** The addresses a tablet may open, the likeliest first; none unless a network was given. */
  tabletAddresses(): readonly string[];
  /** Stops taking requests, ends the event streams, waits at most five seconds for answers under way. */
  close(): Promise<void>;
}

/** The program behind HTTP. */
export function makeServer(asked: ServerAsked): Server {
  const { program } = asked;
  const { log } = program.context;
  let port = asked.port ?? 0;
  const lan = lanOf({ program, network: asked.network, port: () => port });
  const cookie = () => cookieName(port);
  const known = readPages(asked.web);
  const app = fastify({
    logger: false,
    trustProxy: false,
    bodyLimit: 1_000_000,
    exposeHeadRoutes: false,
    forceCloseConnections: "idle",
    return503OnClosing: true,
    requestTimeout: 120_000,
    keepAliveTimeout: 30_000,
    routerOptions: { maxParamLength: 256 },
  });
  const live = liveEvents(program, randomBytes(4).toString("hex"));
  program.devices.hearTurnedOut((id) => live.closeOf(id));
  guard(app, { lan, devices: program.devices, cookie, isPageFile: (address) => known.has(address) });
  takeBodies(app);
  app.setErrorHandler(async (error, request, reply) => {
    const refusal = refusalOf(error);
    if (refusal?.code === "code-tries") reply.header("retry-after", "60");
    else if (refusal?.kind.status === 503 || refusal?.kind.status === 429) reply.header("retry-after", "2");
    // A body that was not read to its end leaves the connection useless.
    if (refusal?.kind.status === 413) reply.header("connection", "close");
    const problem = refusal ? problemOf(refusal) : bugProblem();
    if (!refusal)
      log.error("A request failed", {
        reference: problem.reference,
        request: `${request.method} ${request.routeOptions.url ?? "?"}`,
        error,
      });
    return reply
      .code(problem.status)
      .removeHeader("etag")
      .header("cache-control", "no-store")
      .type(PROBLEM_TYPE)
      .send(JSON.stringify(problem));
  });
  routes(app, {
    program,
    lan,
    deviceAnswers: deviceAnswers({
      lan,
      devices: program.devices,
      pairing: makePairing(program.context.nowMs),
      cookie,
      openIds: live.openIds,
      tell: () => program.context.tell({ topic: "changed", what: ["devices"], ids: [] }),
    }),
    checkAnswers: asked.checkAnswers ?? false,
    live: live.open,
  });
  pages(app, known);
  if (lan.isOpen)
    app.server.on("connection", (socket) => {
      // Whoever comes from outside the studio's network is not even answered.
      if (!isThisComputer(socket.remoteAddress) && !lan.isOfTheNetwork(socket.remoteAddress))
        socket.destroy();
    });
  return {
    app,
    async listen(wanted) {
      port = wanted;
      await app.listen({ host: lan.isOpen ? "0.0.0.0" : "127.0.0.1", port: wanted });
      const address = app.server.address();
      if (typeof address === "object" && address) port = address.port;
      return lan.ownOrigin();
    },
    tabletAddresses: () => lan.reaches().map(({ origin }) => origin),
    async close() {
      live.close();
      const patience = setTimeout(() => app.server.closeAllConnections(), 5_000);
      await app.close();
      clearTimeout(patience);
    },
  };
}
