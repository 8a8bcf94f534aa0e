// The libraries beside bellmouth, resolved from this folder's own node_modules.
export { MonotoneCubicHermitInterpolation } from "@adaskothebeast/splines";
export { linear as ramp } from "@thi.ng/ramp";
export * as commons from "commons-math-interpolation";
export { default as CubicSpline } from "cubic-spline";
export { scaleLinear } from "d3-scale";
export { default as everpolate } from "everpolate";
export { default as interp1 } from "interp1";
export { default as linearInterpolator } from "linear-interpolator";
export { default as naturalSpline } from "natural-spline-interpolator";
export { default as polylinear } from "polylinear-scale";
export { default as simple } from "simple-linear-interpolation";
