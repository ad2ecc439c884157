// Times and spans as people read them.

/** Phase elapsed time: "1:02:05"; before the start "-0:00:10"; whole seconds, rounded down. */
export function formatPet(seconds: number): string {
  const whole = Math.floor(seconds);
  const size = Math.abs(whole);
  const hours = Math.floor(size / 3600);
  const minutes = Math.floor(size / 60) % 60;
  return `${whole < 0 ? "-" : ""}${hours}:${twoDigits(minutes)}:${twoDigits(size % 60)}`;
}

/** Phase elapsed time to the minute, rounded to the nearest: "1:02". */
export function formatPetMinutes(seconds: number): string {
  const minutes = Math.round(seconds / 60);
  const size = Math.abs(minutes);
  return `${minutes < 0 ? "-" : ""}${Math.floor(size / 60)}:${twoDigits(size % 60)}`;
}

/** How long: "45 s", "12 min", "12 min 30 s" under a quarter of an hour, "1 h 05 min"; never negative. */
export function formatSpan(seconds: number): string {
  const whole = Math.max(0, Math.round(seconds));
  if (whole < 60) return `${whole} s`;
  if (whole < 900 && whole % 60 !== 0) return `${Math.floor(whole / 60)} min ${whole % 60} s`;
  const minutes = Math.round(whole / 60);
  if (minutes < 60) return `${minutes} min`;
  return `${Math.floor(minutes / 60)} h ${twoDigits(minutes % 60)} min`;
}

/** A range of spans: "4 to 8 min"; one figure where both ends read the same. */
export function formatSpanRange(leastSeconds: number, mostSeconds: number): string {
  const [least, most] = [leastSeconds, mostSeconds].map((seconds) => Math.round(seconds / 60));
  if (mostSeconds >= 60 && mostSeconds < 5400 && least !== most) return `${least} to ${most} min`;
  const ends = [formatSpan(leastSeconds), formatSpan(mostSeconds)];
  return ends[0] === ends[1] ? `${ends[0]}` : ends.join(" to ");
}

function twoDigits(count: number): string {
  return String(count).padStart(2, "0");
}
