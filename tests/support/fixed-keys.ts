// Key pairs that are the same in every run of the tests, so that a seed always gives the same ids. They are
// made for tests and protect nothing.

import type { PublicKeyText } from "../../machines/record/ids.ts";
import { base64Url, bytesOfBase64Url } from "../../workers/keys/base64-url.ts";
import { deviceIdOfKey } from "../../workers/keys/device-id.ts";
import type { DeviceKey } from "../../workers/keys/device-key.ts";

/** How many there are. */
export const fixedKeyCount = 10;

/** The key pair of that number, from 0; its private half cannot be read out, like a device's own. */
export async function fixedKey(number: number): Promise<DeviceKey> {
  const numbers = keyNumbers[number];
  if (numbers === undefined) throw new Error(`There are ${fixedKeyCount} fixed keys.`);
  const jwk = { kty: "EC", crv: "P-256", ...numbers };
  const algorithm = { name: "ECDSA", namedCurve: "P-256" };
  const privateKey = await crypto.subtle.importKey("jwk", jwk, algorithm, false, ["sign"]);
  const [x, y] = [bytesOfBase64Url(numbers.x), bytesOfBase64Url(numbers.y)];
  const publicKey = base64Url(Uint8Array.of(4, ...(x ?? []), ...(y ?? []))) as PublicKeyText;
  return { device: deviceIdOfKey(publicKey), publicKey, privateKey };
}

const keyNumbers = [
  {
    x: "s2RwRO-MsiWsZOGJRZr7kEyRMw4mKq1JGjS6ItHSIZk",
    y: "XgS0-RoItpAfDBsdjNMUgn30lIXJLaoTakOYZa6yIgI",
    d: "MXMmgBZgccqON-jDDpuECA1buyLLFAxy_le3HyuDC4I",
  },
  {
    x: "Vf-5bmwxpLRpBQafvY4_YKEeLDQBtykpDd2BeZnaRuk",
    y: "8oT_f1pOmiK3Ksm0tDN719xLRoC1t9xyQhRyOk24rmo",
    d: "4wbHKKZI0BKRelzeyyivGJRPZmuDhf35oiK06cTVcjM",
  },
  {
    x: "5Ue4gVuMe2P9w_Y4T-2TCeBxuDpSNIi3v_DLjI7h3cM",
    y: "v8fJTRG4Xjkyo9cpqT7NACMd47preqbA6sqhnaAdpf8",
    d: "SY7bc3Tb4usgqVdJkI3QvfGNODFDNGRIFNyl6NcneEA",
  },
  {
    x: "RpoukoMZ8Ist2dHgmTM-gy9pGq9hYHVc0lzNyZeob0M",
    y: "wY3d1MHzFvlLqN-RzZPYvLcOHjEuh3l1CJeMSX0K5FQ",
    d: "W0zN2kLwV68LWDmqKTS9XsYvPi-8iNjSvmy13WszmoU",
  },
  {
    x: "WoeeGPakBpnKpEtLMGxxDpVwNf1LEp5Bx_dVIYZtNVM",
    y: "Hzz8mbUSkvODxFRKEhQ_TcwrUkzSZXOIAxOFoxTES6E",
    d: "HOZVTKuMl128SPMam_oNOfWkf1KMBIoJRvF5Mcntjl4",
  },
  {
    x: "9zNnUaWboYEkcWYs0n0pJIyN1pDxVqJ-Ojoh2-246lc",
    y: "edfMK0DqffAOn-hZKj5FDB7bd3_74OiWb07psf_sqyk",
    d: "66aqUNdsCisxy5uh3zOQnPB0atzjRTQtUIpI5HWqIMc",
  },
  {
    x: "c3vfB3WHAkhSZDElMphQY1DF3Kuvd1vDPrfQ_gfadcE",
    y: "zgyBFKFiba8zqGAkc734iw9O03NFtJM4joM0cyIbv8Q",
    d: "GtfYW-EhKKWKkArRhjNBCGd3URHA-jc2uhw_5_nhV4w",
  },
  {
    x: "6ZxXXi-BX-UtQfq8znByOal8Kt22H71Z51PnMGEXgww",
    y: "280hDNYHbT5OeojBKjKjNmox2iGk7AK93T4Fjr9Fu-8",
    d: "CT892SWxE8pyFyZ0Smx41cazBgH0_1rUHZTVvCoSroU",
  },
  {
    x: "7MKSlLphmR9B92AgN8t_-jijsU05KMHpErJOC3bNosE",
    y: "VPGl-lH9yZBdyENmsjlDzpUoxOh9d4WOYjTveEJ6Nr0",
    d: "kz555ILPAP4iUyH9AXue44EHG3Y1pdhsZmgGt4nQ2Bc",
  },
  {
    x: "RIrdZut6mLrdvegNEN1P2S6p4n7fl-JOuRY_EUBYcY0",
    y: "NfGJrqNYnA2Qc7_2Mdn76MDy0SSMzOvUPhF3WNrtfbc",
    d: "UYrg2Fx1t6cM8NNwieYE7fxfEN_zb40h2WVLCZMLpWQ",
  },
] as const;
