/**
 * How requests travel: every row of the contract as a route, errors as problem documents, live events, the built
 * page, and who is let in. It refuses to know what an answer means. Invariants: loopback only unless the studio's network
 * was asked for, and then nobody else without the cookie of a paired device; no answer without the security headers; no
 * inner detail in an answer.
 */
export { givenName, type ShopNetwork } from "./lan-names";
export { openApi } from "./openapi";
export { refuseHttp } from "./refusals";
export { makeServer, type Server, type ServerAsked } from "./server";
