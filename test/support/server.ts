import { makeServer, type Server, type ShopNetwork } from "#http";
import type { LightMyRequestResponse } from "fastify";
import { testProgram, type TestProgram } from "./program";

export interface Sent {
  readonly body?: unknown;
  readonly headers?: Readonly<Record<string, string>>;
  readonly ifMatch?: number;
  /** The address the socket comes from; this computer where left out. */
  readonly from?: string;
}

export interface TestServer {
  readonly program: TestProgram;
  readonly server: Server;
  /** Sends a request as a script on this computer does: JSON, no browser's headers. */
  send(method: "GET" | "POST" | "PUT" | "DELETE", url: string, sent?: Sent): Promise<LightMyRequestResponse>;
  close(): Promise<void>;
}

export const TEST_PORT = 4700;

/** A program behind HTTP without a socket; every answer is held against its row's shape. */
export async function testServer(
  asked: Parameters<typeof testProgram>[0] & {
    readonly web?: string;
    /** Given, tablets of these networks may be let in. */
    readonly network?: () => ShopNetwork;
  } = {},
): Promise<TestServer> {
  const { web = "/nowhere", network, ...own } = asked;
  const program = await testProgram(own);
  const server = makeServer({ program, web, port: TEST_PORT, checkAnswers: true, network });
  return {
    program,
    server,
    send: (method, url, sent = {}) =>
      server.app.inject({
        method,
        url,
        ...(sent.from === undefined ? {} : { remoteAddress: sent.from }),
        headers: {
          host: `127.0.0.1:${TEST_PORT}`,
          ...(sent.body === undefined
            ? {}
            : {
                "content-type": Buffer.isBuffer(sent.body) ? "application/octet-stream" : "application/json",
              }),
          ...(sent.ifMatch === undefined ? {} : { "if-match": `"${sent.ifMatch}"` }),
          ...sent.headers,
        },
        ...(sent.body === undefined
          ? {}
          : {
              payload:
                Buffer.isBuffer(sent.body) || typeof sent.body === "string"
                  ? sent.body
                  : JSON.stringify(sent.body),
            }),
      }),
    async close() {
      await server.close();
      await program.close();
    },
  };
}
