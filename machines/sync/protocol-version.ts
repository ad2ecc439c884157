// The version of the wire between device and hub, and its history.
//
// 1  First version: open, invite, join, push, pull, stream, procedures, inject script. JSON over HTTP.
// 2  Devices have keys: entries travel in segments with a signed head; opening and joining carry the key
//    and a proof that the device has its private half. A device may push what others have signed.
// 3  Packed entries tell what was seen by how much it rose.

/** Version of the wire that this code speaks. A hub answers another with 426 and says which it speaks. */
export const protocolVersion = 3;

/** Request header that carries the version. */
export const protocolHeader = "lanehold-protocol";
