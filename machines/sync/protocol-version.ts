// The version of the wire between device and hub, and its history.
//
// 1  First version: open, invite, join, push, pull, stream, procedures, inject script. JSON over HTTP.

/** Version of the wire that this code speaks. A hub answers another with 426 and says which it speaks. */
export const protocolVersion = 1;

/** Request header that carries the version. */
export const protocolHeader = "lanehold-protocol";
