import { requireNumber } from "../../fault/index.js";
import type { DuctSection } from "../housing.js";
import { type EntryFlow, entryParts, TRANSITION_CALM, TRANSITION_DISTURBED } from "./entry.js";
import { developedFactor, requireEntry, requireSpan, type Span } from "./factor.js";
import { ratioAt, turbulentRatio } from "./ratio.js";
import { laminarFactor, turbulentFactor } from "./shape.js";

// Ratio: residuals of the fit, 1.0 % rms laminar and 0.7 % turbulent. Shape: 1 % rms of the 1911 and Superpipe profiles
// between r = 0 and 0.7 about the power law. In quadrature:
const PIPE_LAW = 0.014;
// A square duct's laminar centre velocity is 2.096 times its mean against the pipe's 2 (R. K. Shah, A. L. London,
// Laminar Flow Forced Convection in Ducts, 1978), and flatter ducts go as far the other way.
const NOT_ROUND = 0.05;
// Another inlet changes over elsewhere: anywhere from about 2,000 (rough entry) to 4,000 (calm entry) is met in pipes,
// common practice without a single source. A logistic about 2,500 leaves 14 % below 2,000 and 2 % above 4,000.
const OTHER_INLET = Math.log(2500);
const OTHER_INLET_WIDTH = 0.12;
// The 1951 profiles between r/R 0.3 and 0.7 lie 5 to 6 % from the law on average between Re 2,100 and 4,100.
const OFF_AXIS = 0.055;
// State of the oncoming stream: at Re 2,800 a laminar layer and one turbulent from the inlet differ by 20 % of the
// excess, taken as the half-width of an even spread (a judgement).
const INFLOW = 0.12;
// Past r/R 0.5 the laminar profile's closed form leaves the computed one, by up to 4 % at 0.7 (spans to 0.7: 0.3 %).
const NEAR_WALL = 0.02;

/** Standard uncertainty of the logarithm of a profile factor [1], by how housings share it. */
export interface ProfileScatter {
  /** of the law itself: the same error in every housing at the same Reynolds number */
  readonly law: number;
  /** of the state of the stream, the axial lag and the plane's term: much the same behind inlets of one kind */
  readonly inlet: number;
  /** of where the layer or the pipe turns turbulent, and of a duct that is no pipe: each housing has its own */
  readonly own: number;
}

/** As `profileScatter`, at ln Re = x and unchecked. */
export const scatterAt = (
  x: number,
  span: Span,
  entry: EntryFlow | undefined,
  shape: DuctSection["shape"],
): ProfileScatter => (entry === undefined ? longPipe(x, span, shape) : shortEntry(x, span, entry, shape));

function longPipe(x: number, { from, to }: Span, shape: DuctSection["shape"]): ProfileScatter {
  const laminar = laminarFactor(from, to);
  const developed = developedFactor(x, from, to, laminar);
  const chance = 1 / (1 + Math.exp((OTHER_INLET - x) / OTHER_INLET_WIDTH));
  const jump = Math.abs(laminar - turbulentFactor(from, to, turbulentRatio(x))) / developed;
  // Laminar or turbulent with that chance: the standard deviation of a two-valued variable.
  const transition = jump * Math.sqrt(chance * (1 - chance));
  // In full from Re 2,100 to 4,100 and r/R 0.3 outwards, gone a factor of 1.5 in Re and 0.2 in radius away.
  const reach = Math.max(0, Math.log(2100) - x, x - Math.log(4100)) / Math.log(1.5);
  const inward = Math.max(0, 0.3 - (from + to) / 2) / 0.2;
  const offAxis = OFF_AXIS * Math.max(0, 1 - reach) * Math.max(0, 1 - inward);
  return {
    law: Math.hypot(PIPE_LAW, offAxis),
    inlet: 0,
    own: shape === "round" ? transition : Math.hypot(transition, NOT_ROUND),
  };
}

function shortEntry(
  x: number,
  { from, to }: Span,
  entry: EntryFlow,
  shape: DuctSection["shape"],
): ProfileScatter {
  const { factor, lag, plane } = entryParts(x, from, to, entry);
  const core = entryParts(x, 0, 0, entry).factor - 1;
  // Near the wall the factor passes through 1 and its excess says nothing.
  const excess = to > 0.5 ? Math.max(core, Math.abs(factor - 1)) : Math.abs(factor - 1);
  const disturbed = entryParts(x, from, to, { ...entry, transition: TRANSITION_DISTURBED }).factor;
  const calm = entryParts(x, from, to, { ...entry, transition: TRANSITION_CALM }).factor;
  const transition = Math.abs(disturbed - calm) / (2 * factor);
  const notRound = shape === "round" ? 0 : (NOT_ROUND * core) / (1 / ratioAt(x) - 1);
  // Under 0.2 diameters the lag was not computed: anything from no excess to twice it.
  const lagDoubt = entry.distance < 0.2 ? Math.max(excess / 2, lag / 2) : lag / 2;
  const { distance } = entry;
  const nearWall = NEAR_WALL * Math.max(0, ((from + to) / 2 - 0.5) / 0.2) ** 2;
  return {
    law: Math.hypot(0.0025 + (0.0115 * distance) / (distance + 10), nearWall),
    // The plane's term was checked for spans within r/R 0.3; beyond, it may be there or not.
    inlet: Math.hypot(INFLOW * excess, lagDoubt, (to > 0.3 ? 1 : 0.4) * plane) / factor,
    own: Math.hypot(transition, notRound),
  };
}

/**
 * Standard uncertainty of ln kappa [1], parted by how two housings share it. Large in a long pipe's transition (17 % on the
 * axis at Re 2,500); 0.3 to 2 % in a short housing. What the distance itself leaves unsure is not in it.
 *
 * @param reynolds [1] >= 0
 * @param span     relative radii [1], 0 <= from <= to <= 1
 * @param entry    where the flow was even; undefined for a long pipe
 * @param shape    of the duct: the laws are a pipe's
 * @throws `E_DOMAIN` out of range, or NaN
 */
export function profileScatter(
  reynolds: number,
  span: Span,
  entry: EntryFlow | undefined,
  shape: DuctSection["shape"],
): ProfileScatter {
  requireNumber(reynolds, "reynolds", "1", { from: 0 });
  requireSpan(span);
  return scatterAt(Math.log(reynolds), span, entry && requireEntry(entry), shape);
}
