/**
 * How requests travel: every row of the contract as a route, errors as problem documents, live events, the built
 * page. It refuses to know what an answer means. Invariants: loopback only; no answer without the security headers;
 * no inner detail in an answer.
 */
export { openApi } from "./openapi";
export { refuseHttp } from "./refusals";
export { makeServer, type Server, type ServerAsked } from "./server";
