import type { CarSpec, PlanError, SimulatedDrive } from "@bellmouth/simulator";
import type { TransferCurve } from "bellmouth/sensor";
import { weightsAt } from "./driven-cells.js";
import { invert } from "./symmetric-inverse.js";
import { makeWhitener } from "./whitener.js";

/**
 * What no estimator can know and this one is told: the car's transport delay, sensor lag, noise, wall film, filling and
 * when fuel was cut. It sees the same printed log for everything else, and has the same prior.
 */
export interface OracleCase {
  readonly car: CarSpec;
  readonly planError: PlanError;
  readonly table: TransferCurve;
  readonly logs: readonly SimulatedDrive["columns"][];
  readonly fuelled: readonly Float64Array[];
}

const STEP = 0.01;
const GAS = 287.053;
/** Share of a transient that a log of ten or twenty rows a second leaves unresolved [1]; set on the development cars. */
const UNRESOLVED = 0.5;

/**
 * Generalised least squares for the relative correction of each cell in the straight-line basis. The logged channels are
 * carried on a 10 ms grid through the true laws (filling, film, transport, lag) for the prediction and for its derivative by
 * each cell; residuals are whitened by the noise's true state-space model, outliers by a two-component mixture's weights.
 *
 * @returns corrected flows [kg/s] and relative standard deviations [1], cell by cell
 */
export function oracle(given: OracleCase): { flow: number[]; deviation: number[] } {
  const size = given.table.cells.length;
  let delta: number[] = new Array(size).fill(0);
  const prior = invert(priorCovariance(given));
  let normal = prior;
  for (let pass = 0; pass < 3; pass++) {
    const matrix = prior.map((row) => Float64Array.from(row));
    const right = new Float64Array(size);
    // Prior mean zero, written about the present correction.
    for (let i = 0; i < size; i++) for (let j = 0; j < size; j++) right[i]! -= prior[i]![j]! * delta[j]!;
    given.logs.forEach((log, k) => {
      accumulate(given, log, given.fuelled[k]!, delta, matrix, right);
    });
    normal = invert(matrix);
    delta = delta.map((value, i) => value + normal[i]!.reduce((sum, v, j) => sum + v * right[j]!, 0));
  }
  return {
    flow: given.table.cells.map((cell, i) => cell.flow * Math.exp(delta[i]!)),
    deviation: normal.map((row, i) => Math.sqrt(row[i]!)),
  };
}

function priorCovariance({ table, planError }: OracleCase): Float64Array[] {
  const least = table.cells.find((cell) => cell.flow > 0)!.flow;
  const at = table.cells.map((cell) => Math.max(cell.flow, least));
  return at.map((a) =>
    Float64Array.from(at, (b) => {
      const apart = (Math.sqrt(5) * Math.abs(Math.log(a / b))) / planError.length;
      const low = ((a / least) * (b / least)) ** -planError.fade * planError.lowFlow ** 2;
      const smooth = planError.smooth ** 2 * (1 + apart + (apart * apart) / 3) * Math.exp(-apart);
      const own = a === b ? planError.cell ** 2 : 0;
      return planError.scale ** 2 + smooth + low + own;
    }),
  );
}

/** Adds one log's evidence to the normal equations. */
function accumulate(
  given: OracleCase,
  log: SimulatedDrive["columns"],
  fuelled: Float64Array,
  delta: readonly number[],
  matrix: Float64Array[],
  right: Float64Array,
): void {
  const { car, table } = given;
  const { fuel, exhaust, lambdaSensor, engine } = car;
  const size = table.cells.length;
  const steps = Math.floor(log.time[log.time.length - 1]! / STEP) + 1;
  const airCells = table.cells.map((cell) => cell.flow);

  // Cylinder side on the grid: reciprocal lambda, its derivative's weights, gas position.
  const rich = new Float64Array(steps);
  const leftCell = new Int32Array(steps);
  const leftWeight = new Float64Array(steps);
  const rightWeight = new Float64Array(steps);
  const passed = new Float64Array(steps + 1);
  const wait = new Float64Array(steps);
  const clean = new Uint8Array(steps);
  const unrest = new Float64Array(steps);
  let row = 0;
  let filtered = Number.NaN;
  let film = Number.NaN;
  let believedFilm = Number.NaN;
  let pressureBefore = Number.NaN;
  let sinceCut = 100;
  for (let i = 0; i < steps; i++) {
    const time = i * STEP;
    while (row + 2 < log.time.length && log.time[row + 1]! <= time) row += 1;
    const span = log.time[row + 1]! - log.time[row]!;
    const part = Math.min(1, Math.max(0, (time - log.time[row]!) / span));
    const read = (column: Float64Array): number => column[row]! + part * (column[row + 1]! - column[row]!);
    const held = (column: Float64Array): number => column[part < 0.5 ? row : row + 1]!;
    const signal = read(log.signal);
    const { cell, share } = weightsAt(table, signal);
    const flowLeft = airCells[cell]! * (1 - share);
    const flowRight = airCells[cell + 1]! * share;
    const metered = flowLeft + flowRight;
    const trueLeft = flowLeft * Math.exp(delta[cell]!);
    const trueRight = flowRight * Math.exp(delta[cell + 1]!);
    const trueAir = trueLeft + trueRight;
    const speed = read(log.engineSpeed);
    const coolant = read(log.coolant);
    const charge = read(log.intakeAir) + engine.chargeHeating * (coolant - read(log.intakeAir));
    const pressure = read(log.manifoldPressure);
    // The logged pressure is straight between rows, so its slope is that of the span.
    const slope = Number.isNaN(pressureBefore) ? 0 : (pressure - pressureBefore) / STEP;
    pressureBefore = pressure;
    const filling = (engine.manifoldVolume / (GAS * charge)) * slope;
    const cylinder = Math.max(0.2 * trueAir, trueAir - filling);
    const cut = fuelled[part < 0.5 ? row : row + 1] !== 1;
    sinceCut = cut ? 0 : sinceCut + STEP;

    const fillTime =
      (fuel.fillingCompensation * engine.manifoldVolume) /
      (0.85 * engine.displacement * (Math.max(speed, 5) / 2));
    filtered = Number.isNaN(filtered)
      ? metered
      : filtered + (metered - filtered) * (1 - Math.exp(-STEP / fillTime));
    const wanted = cut
      ? 0
      : (filtered / held(log.lambdaTarget)) * (1 + held(log.shortTrim)) * (1 + held(log.longTrim));
    const cold = Math.max(0, (363 - coolant) / 60);
    const fraction = Math.min(0.8, fuel.film.fraction * (1 + 0.9 * cold));
    const filmTime = fuel.film.time * (1 + 0.5 * cold);
    const believed = fraction * fuel.filmCompensation;
    if (Number.isNaN(film)) {
      film = fraction * wanted * filmTime;
      believedFilm = believed * wanted * filmTime;
    }
    const injected = cut ? 0 : Math.max(0, (wanted - believedFilm / filmTime) / (1 - believed));
    const settle = (mass: number, share_: number): number => {
      const rest = share_ * injected * filmTime;
      return rest + (mass - rest) * Math.exp(-STEP / filmTime);
    };
    believedFilm = settle(believedFilm, believed);
    const filmNext = settle(film, fraction);
    const delivered = injected - (filmNext - film) / STEP;
    film = filmNext;

    rich[i] = Math.max(delivered / cylinder, 0.05);
    const steadyRich =
      (metered / trueAir / held(log.lambdaTarget)) * (1 + held(log.shortTrim)) * (1 + held(log.longTrim));
    // What rows cannot resolve: a share of the transient, and of the flow's step from row to row.
    unrest[i] =
      Math.abs(Math.log(rich[i]! / steadyRich)) +
      0.5 * Math.abs(Math.log(log.airflow[row + 1]! / log.airflow[row]!));
    leftCell[i] = cell;
    leftWeight[i] = trueLeft / cylinder;
    rightWeight[i] = trueRight / cylinder;
    wait[i] = exhaust.fixedDelay + exhaust.revolutions / speed;
    passed[i + 1] = passed[i]! + cylinder * (1 + 1 / 14.7) * STEP;
    clean[i] = sinceCut > 1.5 && coolant > 330 && time > 3 ? 1 : 0;
  }

  // Sensor side: arrival, lag, and at each row the whitened residual and derivative.
  const lag = 1 - Math.exp(-STEP / lambdaSensor.timeConstant);
  const lagged = new Float64Array(size);
  let sensed = 1;
  let arrived = -1;
  let dirty = 0;
  let restless = 0;
  const noise = makeWhitener(car, size);
  row = 0;
  for (let i = 0; i < steps && row < log.time.length; i++) {
    for (;;) {
      const next = arrived + 1;
      if (next > i) break;
      const entered = next + wait[next]! / STEP;
      if (entered > i) break;
      const whole = Math.floor(entered);
      const from = passed[whole]! + (entered - whole) * (passed[whole + 1]! - passed[whole]!);
      if (passed[i + 1]! - from < exhaust.gasMass) break;
      arrived = next;
    }
    const gas = Math.max(0, arrived);
    const value = Math.min(1 / lambdaSensor.least, Math.max(1 / lambdaSensor.greatest, rich[gas]!));
    sensed += lag * (value - sensed);
    restless += (unrest[gas]! > restless ? lag : lag / 3) * (unrest[gas]! - restless);
    for (let c = 0; c < size; c++) lagged[c]! -= lag * lagged[c]!;
    const cell = leftCell[gas]!;
    lagged[cell]! += lag * value * leftWeight[gas]!;
    lagged[cell + 1]! += lag * value * rightWeight[gas]!;
    // The lag remembers: wait until unclean gas has faded.
    dirty = arrived < 0 || clean[gas] !== 1 ? 6 * lambdaSensor.timeConstant : dirty - STEP;
    while (row < log.time.length && log.time[row]! <= i * STEP + 1e-4) {
      const lambda = log.lambda[row]!;
      if (dirty <= 0 && lambda < 0.99 * lambdaSensor.greatest && lambda > 1.01 * lambdaSensor.least) {
        const residue = Math.log(lambda * sensed);
        noise.add(log.time[row]!, residue, lagged, 1 / sensed, (UNRESOLVED * restless) ** 2, matrix, right);
      }
      row += 1;
    }
  }
}
