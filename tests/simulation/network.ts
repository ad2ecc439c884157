// The network between devices and hub: requests that wait until the schedule says what befalls them.
//
// Definition: a *message* is a request that a device waits for an answer to.
// Definition: a *straggler* is a copy of a request that the device no longer waits for, or that is
//   there twice; it reaches the hub late, or never.

/** A request as it goes over the line. */
export type Request = {
  readonly device: string;
  readonly method: string;
  readonly path: string;
  readonly headers: Readonly<Record<string, string>>;
  readonly body: Uint8Array<ArrayBuffer> | null;
};

/** An answer as it comes back. */
export type Answer = {
  readonly status: number;
  readonly headers: Readonly<Record<string, string>>;
  readonly body: Uint8Array<ArrayBuffer>;
};

/** A request under way. */
export type Message = Request & {
  /** Null: it has not reached the hub. */
  answer: Answer | null;
  readonly give: (answer: Answer) => void;
  readonly cut: () => void;
};

/** The network. */
export type Network = {
  readonly messages: readonly Message[];
  readonly stragglers: Request[];
  /** The line of a device: what its code calls instead of the platform's fetch. */
  readonly lineOf: (device: string, hasPower: () => boolean) => typeof fetch;
  /** Resolves when the device has its next request under way. */
  readonly nextMessage: (device: string) => Promise<void>;
  /** Ends the wait of a message: with its answer, or cut. */
  readonly settle: (message: Message, how: "answer" | "cut") => void;
};

/** A network with nothing under way. */
export function createNetwork(): Network {
  const messages: Message[] = [];
  const watchers = new Map<string, () => void>();
  const tellWatcher = (device: string): void => {
    const tell = watchers.get(device);
    watchers.delete(device);
    tell?.();
  };
  return {
    messages,
    stragglers: [],
    lineOf: (device, hasPower) => async (input, init) => {
      if (!hasPower()) throw new TypeError("Failed to fetch");
      const request = requestOf(device, input, init);
      const answer = await new Promise<Answer>((give, reject) => {
        const cut = (): void => reject(new TypeError("Failed to fetch"));
        messages.push({ ...request, answer: null, give, cut });
        tellWatcher(device);
      });
      return new Response(answer.body, { status: answer.status, headers: answer.headers });
    },
    nextMessage: (device) => new Promise((resolve) => watchers.set(device, resolve)),
    settle(message, how) {
      messages.splice(messages.indexOf(message), 1);
      if (how === "answer" && message.answer !== null) message.give(message.answer);
      else message.cut();
    },
  };
}

/** The path, with its query, that a request asks for. */
export function requestPath(input: string | URL | globalThis.Request): string {
  const url = new URL(input instanceof globalThis.Request ? input.url : input);
  return url.pathname + url.search;
}

function requestOf(
  device: string,
  input: string | URL | globalThis.Request,
  init: RequestInit | undefined,
): Request {
  return {
    device,
    method: init?.method ?? "GET",
    path: requestPath(input),
    headers: Object.fromEntries(new Headers(init?.headers)),
    body: bytesOf(init?.body ?? null),
  };
}

function bytesOf(body: unknown): Uint8Array<ArrayBuffer> | null {
  if (body === null) return null;
  if (body instanceof ArrayBuffer) return new Uint8Array(body);
  if (body instanceof Uint8Array) return new Uint8Array(body);
  throw new Error("The simulated network carries bytes only.");
}
