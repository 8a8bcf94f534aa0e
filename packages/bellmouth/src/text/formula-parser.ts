import { create, type FactoryFunctionMap, type MathNode, parseDependencies } from "mathjs/number";

type Parse = (text: string) => MathNode;

let made: Parse | undefined;

/**
 * The expression parser of mathjs alone, made on first use: nothing it could evaluate with comes along, so that a
 * formula has nothing dangerous to call (import, evaluate, createUnit, …). The tree it gives is checked and turned into
 * functions of our own in `formula.ts`.
 */
export function parseExpression(text: string): MathNode {
  if (made === undefined) {
    const math = create({ parseDependencies } as unknown as FactoryFunctionMap);
    made = math.parse as unknown as Parse;
  }
  return made(text);
}
