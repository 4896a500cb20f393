import { randomBytes } from "node:crypto";
import fastify, { type FastifyInstance } from "fastify";
import type { Program } from "#app";
import { takeBodies } from "./bodies";
import { guard, loopbackHosts } from "./guard";
import { liveEvents } from "./live";
import { pages } from "./pages";
import { bugProblem, PROBLEM_TYPE, problemOf, refusalOf } from "./problems";
import { routes } from "./routes";

export interface ServerAsked {
  readonly program: Program;
  /** The folder of the built page. */
  readonly web: string;
  /** Known before listening only in tests. */
  readonly port?: number;
  readonly checkAnswers?: boolean;
}

export interface Server {
  readonly app: FastifyInstance;
  /** Listens on this computer only; gives the address. Throws EADDRINUSE as it comes. */
  listen(port: number): Promise<string>;
  /** Stops taking requests, ends the event streams, waits at most five seconds for answers under way. */
  close(): Promise<void>;
}

/** The program behind HTTP. */
export function makeServer(asked: ServerAsked): Server {
  const { program } = asked;
  const { log } = program.context;
  let port = asked.port ?? 0;
  const origin = () => `http://127.0.0.1:${port}`;
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
  guard(app, { hosts: () => loopbackHosts(port) });
  takeBodies(app);
  app.setErrorHandler(async (error, request, reply) => {
    const refusal = refusalOf(error);
    if (refusal?.kind.status === 503 || refusal?.kind.status === 429) reply.header("retry-after", "2");
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
  routes(app, { program, origin, checkAnswers: asked.checkAnswers ?? false, live: live.open });
  pages(app, asked.web);
  return {
    app,
    async listen(wanted) {
      port = wanted;
      await app.listen({ host: "127.0.0.1", port: wanted });
      const address = app.server.address();
      if (typeof address === "object" && address) port = address.port;
      return origin();
    },
    async close() {
      live.close();
      const patience = setTimeout(() => app.server.closeAllConnections(), 5_000);
      await app.close();
      clearTimeout(patience);
    },
  };
}
