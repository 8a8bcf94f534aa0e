// Small changes to a TypeScript source that its tests should notice.
import ts from "typescript";

const K = ts.SyntaxKind;
const SWAPS = new Map([
  [K.PlusToken, ["arithmetic", "-"]],
  [K.MinusToken, ["arithmetic", "+"]],
  [K.AsteriskToken, ["arithmetic", "/"]],
  [K.SlashToken, ["arithmetic", "*"]],
  [K.AsteriskAsteriskToken, ["arithmetic", "*"]],
  [K.PlusEqualsToken, ["arithmetic", "-="]],
  [K.MinusEqualsToken, ["arithmetic", "+="]],
  [K.AsteriskEqualsToken, ["arithmetic", "/="]],
  [K.SlashEqualsToken, ["arithmetic", "*="]],
  [K.LessThanToken, ["boundary", "<=", "comparison", ">="]],
  [K.LessThanEqualsToken, ["boundary", "<", "comparison", ">"]],
  [K.GreaterThanToken, ["boundary", ">=", "comparison", "<="]],
  [K.GreaterThanEqualsToken, ["boundary", ">", "comparison", "<"]],
  [K.EqualsEqualsEqualsToken, ["comparison", "!=="]],
  [K.ExclamationEqualsEqualsToken, ["comparison", "==="]],
  [K.AmpersandAmpersandToken, ["boolean", "||"]],
  [K.BarBarToken, ["boolean", "&&"]],
]);

const isText = (node) =>
  ts.isStringLiteralLike(node) ||
  ts.isTemplateExpression(node) ||
  (ts.isBinaryExpression(node) && (isText(node.left) || isText(node.right)));

/** Every mutant of a source: where it starts and ends, what stands there, what is put, and of what kind it is. */
export function mutantsOf(text, fileName) {
  const source = ts.createSourceFile(fileName, text, ts.ScriptTarget.Latest, true);
  const found = [];
  const add = (kind, start, end, put) => {
    const { line, character } = source.getLineAndCharacterOfPosition(start);
    found.push({ kind, start, end, put, was: text.slice(start, end), line: line + 1, column: character + 1 });
  };
  // Words of messages are not worth a test each.
  const inFault = (node) => {
    for (let up = node; up !== undefined; up = up.parent) {
      if (ts.isNewExpression(up) && up.expression.getText(source).endsWith("Error")) return true;
    }
    return false;
  };
  const visit = (node) => {
    if (ts.isTypeNode(node) || ts.isInterfaceDeclaration(node) || ts.isTypeAliasDeclaration(node)) return;
    if (ts.isImportDeclaration(node) || ts.isExportDeclaration(node) || inFault(node)) return;
    if (ts.isBinaryExpression(node)) {
      const { operatorToken: token } = node;
      const swaps = isText(node.left) || isText(node.right) ? undefined : SWAPS.get(token.kind);
      // Comparing with undefined or a word of a closed list is a matter of types, and is kept to "comparison".
      for (let i = 0; swaps !== undefined && i < swaps.length; i += 2) {
        add(swaps[i], token.getStart(source), token.getEnd(), swaps[i + 1]);
      }
    } else if (node.kind === K.TrueKeyword || node.kind === K.FalseKeyword) {
      add("boolean", node.getStart(source), node.getEnd(), node.kind === K.TrueKeyword ? "false" : "true");
    } else if (ts.isPrefixUnaryExpression(node) && node.operator === K.ExclamationToken) {
      add("boolean", node.getStart(source), node.operand.getStart(source), "");
    } else if (ts.isPrefixUnaryExpression(node) && node.operator === K.MinusToken) {
      add("arithmetic", node.getStart(source), node.operand.getStart(source), "");
    } else if (ts.isConditionalExpression(node)) {
      const { condition } = node;
      add("condition", condition.getStart(source), condition.getEnd(), `!(${condition.getText(source)})`);
    } else if (ts.isIfStatement(node)) {
      add("condition", node.expression.getStart(source), node.expression.getEnd(), "false");
    } else if (ts.isReturnStatement(node) && node.expression !== undefined) {
      const { expression } = node;
      add("return", expression.getStart(source), expression.getEnd(), "undefined as never");
    }
    ts.forEachChild(node, visit);
  };
  visit(source);
  return found;
}
