import type {
  ConditionalNode,
  ConstantNode,
  FunctionNode,
  MathNode,
  OperatorNode,
  ParenthesisNode,
  RelationalNode,
  SymbolNode,
} from "mathjs";
import { BellmouthError, type FaultPlace } from "../fault/index.js";
import { parseExpression } from "./formula-parser.js";
import { didYouMean, shown } from "./nearest.js";

/** Longest formula [characters]. */
export const LONGEST_FORMULA = 500;

/** A formula of named numbers, checked and ready to compute. */
export interface Formula {
  readonly text: string;
  /** Names it uses, each once, in the order of first use. */
  readonly uses: readonly string[];
  /**
   * Its value for numbers in the order of `uses`; conditions count as 1 and 0. NaN when any of the numbers is NaN (a
   * missing sample) or the result is not finite.
   */
  readonly evaluate: (values: readonly number[]) => number;
}

/** Computes from the values of a formula's names, by their index. */
type Compute = (values: readonly number[]) => number;

const FUNCTIONS: {
  readonly [name: string]: {
    readonly least: number;
    readonly most: number;
    readonly of: (...given: number[]) => number;
  };
} = {
  abs: { least: 1, most: 1, of: Math.abs },
  ceil: { least: 1, most: 1, of: Math.ceil },
  exp: { least: 1, most: 1, of: Math.exp },
  floor: { least: 1, most: 1, of: Math.floor },
  /** natural, as everywhere in mathematics */
  log: { least: 1, most: 1, of: Math.log },
  log10: { least: 1, most: 1, of: Math.log10 },
  max: { least: 1, most: 20, of: Math.max },
  min: { least: 1, most: 20, of: Math.min },
  round: { least: 1, most: 1, of: Math.round },
  sqrt: { least: 1, most: 1, of: Math.sqrt },
};

const OPERATORS: { readonly [name: string]: (a: number, b: number) => number } = {
  add: (a, b) => a + b,
  subtract: (a, b) => a - b,
  multiply: (a, b) => a * b,
  divide: (a, b) => a / b,
  pow: (a, b) => a ** b,
  smaller: (a, b) => (a < b ? 1 : 0),
  smallerEq: (a, b) => (a <= b ? 1 : 0),
  larger: (a, b) => (a > b ? 1 : 0),
  largerEq: (a, b) => (a >= b ? 1 : 0),
  equal: (a, b) => (a === b ? 1 : 0),
  unequal: (a, b) => (a !== b ? 1 : 0),
  and: (a, b) => (a !== 0 && b !== 0 ? 1 : 0),
  or: (a, b) => (a !== 0 || b !== 0 ? 1 : 0),
};

const ONE_SIDED: { readonly [name: string]: (a: number) => number } = {
  unaryMinus: (a) => -a,
  unaryPlus: (a) => a,
  not: (a) => (a === 0 ? 1 : 0),
};

const CONSTANTS: { readonly [name: string]: number } = { pi: Math.PI };

const ACCEPTED =
  "numbers, the names given, + - * / ^, comparisons, and, or, not, a ? b : c, and the functions " +
  Object.keys(FUNCTIONS).join(", ");

/** True for a name that a formula can use: a letter or underscore, then letters, digits, underscores. */
export const isFormulaName = (name: string): boolean =>
  /^[A-Za-z_][A-Za-z0-9_]{0,59}$/u.test(name) &&
  !Object.hasOwn(FUNCTIONS, name) &&
  !Object.hasOwn(CONSTANTS, name) &&
  // Words of the grammar, and names that mean something to every JavaScript object.
  !/^(?:and|or|not|xor|mod|to|in|true|false|null|undefined|NaN|Infinity|end|__.*|constructor|prototype)$/u.test(
    name,
  );

/**
 * Checks a formula and makes it ready to compute. mathjs parses it; what it may hold is a closed list, and nothing in
 * it can reach anything but the numbers it is given.
 *
 * @param text  for example `wideband_afr / 14.7`
 * @param names the numbers it may use
 * @throws `E_FORMULA` with the column of the mistake
 * @example
 * compileFormula("afr / 14.7", ["afr", "rpm"]).evaluate([13.23]) // ≈ 0.9000
 */
export function compileFormula(text: string, names: readonly string[], at: FaultPlace = {}): Formula {
  const refuse = (message: string, found: string, position?: number): never => {
    throw new BellmouthError({
      code: "E_FORMULA",
      message,
      found: `'${shown(found)}'`,
      accepted: ACCEPTED,
      at:
        position === undefined || position < 0
          ? at
          : { ...at, line: at.line ?? 1, column: (at.column ?? 1) + position },
    });
  };
  for (const name of names) {
    if (!isFormulaName(name)) refuse("this name cannot be used in a formula", name);
  }
  if (text.trim() === "") refuse("the formula is empty", text);
  if (text.length > LONGEST_FORMULA) refuse(`a formula of more than ${LONGEST_FORMULA} characters`, text);
  // mathjs lets a % stand for a division by 100, a remainder, or (8 + 5 %) a share of what stands before it.
  if (text.includes("%"))
    refuse("what % means in a formula is unclear: write 0.05 for 5 %", text, text.indexOf("%"));
  const uses: string[] = [];
  const compute = compileNode(parsed(text, refuse), { names, uses, refuse, text });
  return {
    text,
    uses,
    evaluate: (values) => {
      for (let i = 0; i < uses.length; i++) if (Number.isNaN(values[i] ?? Number.NaN)) return Number.NaN;
      const value = compute(values);
      return Number.isFinite(value) ? value : Number.NaN;
    },
  };
}

type Refuse = (message: string, found: string, position?: number) => never;

function parsed(text: string, refuse: Refuse): MathNode {
  try {
    return parseExpression(text);
  } catch (error) {
    if (!(error instanceof Error)) throw error;
    const { char } = error as { char?: number };
    return refuse(
      `the formula does not parse: ${shown(error.message.replace(/ \(char \d+\)$/u, ""), 100)}`,
      text,
      char === undefined ? undefined : char - 1,
    );
  }
}

interface Scope {
  readonly names: readonly string[];
  /** grows while the formula is walked */
  readonly uses: string[];
  readonly refuse: Refuse;
  readonly text: string;
}

function compileNode(node: MathNode, scope: Scope): Compute {
  const { refuse, text } = scope;
  switch (node.type) {
    case "ConstantNode": {
      const { value } = node as ConstantNode;
      if (typeof value === "number" && Number.isFinite(value)) return () => value;
      return refuse("only numbers can stand here", String(value), text.indexOf(String(value)));
    }
    case "ParenthesisNode":
      return compileNode((node as ParenthesisNode).content, scope);
    case "SymbolNode":
      return compileSymbol((node as SymbolNode).name, scope);
    case "OperatorNode":
      return compileOperator(node as OperatorNode, scope);
    case "RelationalNode":
      return compileRelations(node as RelationalNode, scope);
    case "ConditionalNode": {
      const { condition, trueExpr, falseExpr } = node as ConditionalNode;
      const [test, then, otherwise] = [condition, trueExpr, falseExpr].map((one) => compileNode(one, scope));
      return (values) => (test?.(values) !== 0 ? then?.(values) : otherwise?.(values)) ?? Number.NaN;
    }
    case "FunctionNode":
      return compileFunction(node as FunctionNode, scope);
    default: {
      const what = node.type.replace(/Node$/u, "").toLowerCase();
      return refuse(`a formula has no ${what}`, text);
    }
  }
}

function compileSymbol(name: string, scope: Scope): Compute {
  if (Object.hasOwn(CONSTANTS, name)) {
    const value = CONSTANTS[name] ?? Number.NaN;
    return () => value;
  }
  if (!scope.names.includes(name)) {
    return scope.refuse(
      `no such name${didYouMean(name, scope.names)}; known are ${shown(scope.names.join(", "), 200) || "none"}`,
      name,
      placeOfWord(scope.text, name),
    );
  }
  if (!scope.uses.includes(name)) scope.uses.push(name);
  const index = scope.uses.indexOf(name);
  return (values) => values[index] ?? Number.NaN;
}

function compileOperator(node: OperatorNode, scope: Scope): Compute {
  const { fn, op, args, implicit } = node as OperatorNode & {
    readonly implicit: boolean;
    readonly fn: string;
  };
  if (implicit) {
    return scope.refuse("products are written with *", node.toString(), undefined);
  }
  const [left, right] = args.map((one) => compileNode(one, scope));
  if (left !== undefined && right === undefined && Object.hasOwn(ONE_SIDED, fn)) {
    const of = ONE_SIDED[fn];
    if (of !== undefined) return (values) => of(left(values));
  }
  if (left !== undefined && right !== undefined && Object.hasOwn(OPERATORS, fn)) {
    const of = OPERATORS[fn];
    if (of !== undefined) return (values) => of(left(values), right(values));
  }
  return scope.refuse(
    `a formula has no operator '${shown(String(op))}'`,
    scope.text,
    scope.text.indexOf(String(op)),
  );
}

/** `1 < a < 2`: every neighbouring pair must hold. */
function compileRelations(node: RelationalNode, scope: Scope): Compute {
  const { conditionals, params } = node as RelationalNode & {
    readonly conditionals: readonly string[];
    readonly params: readonly MathNode[];
  };
  const sides = params.map((one) => compileNode(one, scope));
  const relations = conditionals.map((name) =>
    Object.hasOwn(OPERATORS, name) ? OPERATORS[name] : undefined,
  );
  return (values) => {
    const numbers = sides.map((side) => side(values));
    return relations.every((of, i) => of?.(numbers[i] ?? Number.NaN, numbers[i + 1] ?? Number.NaN) === 1)
      ? 1
      : 0;
  };
}

function compileFunction(node: FunctionNode, scope: Scope): Compute {
  const { refuse, text } = scope;
  const called = node.fn as MathNode;
  // `a.b(…)` and `(f)(…)` call something that is no plain name.
  if (called.type !== "SymbolNode") return refuse("only functions by name can be called", text);
  const { name } = called as SymbolNode;
  const known = Object.hasOwn(FUNCTIONS, name) ? FUNCTIONS[name] : undefined;
  if (known === undefined) {
    return refuse(
      `a formula has no function '${shown(name)}'${didYouMean(name, Object.keys(FUNCTIONS))}`,
      name,
      placeOfWord(text, name),
    );
  }
  const given = node.args.map((one) => compileNode(one, scope));
  if (given.length < known.least || given.length > known.most) {
    return refuse(
      `'${name}' takes ${known.most === 1 ? "one number" : "one number or more"}`,
      node.toString(),
      placeOfWord(text, name),
    );
  }
  const { of } = known;
  const [only] = given;
  if (given.length === 1 && only !== undefined) return (values) => of(only(values));
  return (values) => of(...given.map((one) => one(values)));
}

/** Where a word stands as a whole in the text, from 0; -1 when nowhere. */
function placeOfWord(text: string, word: string): number {
  const letters = /[A-Za-z0-9_]/u;
  for (let i = text.indexOf(word); i >= 0; i = text.indexOf(word, i + 1)) {
    if (!letters.test(text[i - 1] ?? " ") && !letters.test(text[i + word.length] ?? " ")) return i;
  }
  return -1;
}
