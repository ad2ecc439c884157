// A queue of points by distance: the nearest comes out first.
//
// [point-queue 1] What comes out is in order of distance; a point that was put in again nearer comes
//   out first at its nearer distance.
// Numbers in flat arrays: the check of controllability spends most of its time here.

/** Points waiting, as a binary heap in two arrays that belong together. */
export type PointQueue = { readonly keys: number[]; readonly points: number[] };

/** An empty queue. */
export function createPointQueue(): PointQueue {
  return { keys: [], points: [] };
}

/** Puts a point in. Errors: none. */
export function pushPoint(queue: PointQueue, point: number, key: number): void {
  const { keys, points } = queue;
  let child = points.length;
  keys.push(key);
  points.push(point);
  while (child > 0) {
    const parent = (child - 1) >> 1;
    const parentKey = keys[parent] as number;
    if (parentKey <= key) break;
    keys[child] = parentKey;
    points[child] = points[parent] as number;
    child = parent;
  }
  keys[child] = key;
  points[child] = point;
}

/** Takes the nearest point out; -1 if none waits. Errors: none. */
export function popPoint(queue: PointQueue): number {
  const { keys, points } = queue;
  const nearest = points[0];
  const key = keys.pop();
  const point = points.pop();
  if (nearest === undefined || key === undefined || point === undefined) return -1;
  if (points.length > 0) siftDown(queue, point, key);
  return nearest;
}

/** Empties the queue. */
export function clearPoints(queue: PointQueue): void {
  queue.keys.length = 0;
  queue.points.length = 0;
}

// Lets a point sink from the top to its place.
function siftDown({ keys, points }: PointQueue, point: number, key: number): void {
  const count = points.length;
  let parent = 0;
  for (;;) {
    let child = 2 * parent + 1;
    if (child >= count) break;
    const right = child + 1;
    if (right < count && (keys[right] as number) < (keys[child] as number)) child = right;
    if ((keys[child] as number) >= key) break;
    keys[parent] = keys[child] as number;
    points[parent] = points[child] as number;
    parent = child;
  }
  keys[parent] = key;
  points[parent] = point;
}
