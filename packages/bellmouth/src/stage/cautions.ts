/**
 * What everyone who changes an engine's air calibration should have read: shown with every result, in the README
 * and by the command line.
 */
export const CAUTIONS: readonly string[] = [
  "A table that reads low makes the engine run lean, and a lean or knocking engine can be destroyed in seconds. Computed tables are a starting point, not a finished calibration.",
  "Check the mixture with a wideband lambda sensor before any load, and stop at the first sign of knock or of a lean reading.",
  "Full-throttle pulls belong on a closed course or a dynamometer, with a second person on the laptop: never watch a screen while driving.",
  "Emissions and anti-tampering law is local and may forbid the change on a road car. Find out before you fit anything.",
  "Where this and a licensed practitioner who knows the car differ, the practitioner decides.",
];
