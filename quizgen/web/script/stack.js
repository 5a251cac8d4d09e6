/* Runs programs: a formula or condition as a short list, made by quizgen/expression/program.py.
   A value is undefined as soon as any operation in it has no real, finite result. Values that
   differ by at most 1e-12 of the larger one are equal; a value that near to a whole number is one. */

const same = (a, b) => Math.abs(a - b) <= 1e-12 * Math.max(Math.abs(a), Math.abs(b));
const less = (a, b) => a < b && !same(a, b);

const wholeBelow = (x) => {
  const near = Math.floor(x + 0.5);
  return Math.abs(x - near) <= 1e-12 * Math.max(1, Math.abs(x)) ? near : Math.floor(x);
};

/* Each takes one value or two, as its length says. */
const OPERATIONS = new Map([
  ..."sqrt exp log10 sin cos tan asin acos atan abs min max".split(" ").map((name) => [name, Math[name]]),
  ["ln", Math.log],
  ["^", Math.pow],
  ["~", (a) => -a],
  ["+", (a, b) => a + b],
  ["-", (a, b) => a - b],
  ["*", (a, b) => a * b],
  ["/", (a, b) => a / b],
  ["floor", wholeBelow],
  ["ceil", (a) => -wholeBelow(-a)],
  ["round", (a) => Math.sign(a) * wholeBelow(Math.abs(a) + 0.5)],
  ["=", same],
  ["<", less],
  [">", (a, b) => less(b, a)],
  ["<=", (a, b) => !less(b, a)],
  [">=", (a, b) => !less(a, b)],
  ["and", (a, b) => a && b],
  ["or", (a, b) => a || b],
]);

/**
 * @param {(number|string)[]} list postfix: numbers in coherent SI, names, operations
 * @param {Object<string, number>} values SI value of each name
 * @returns {number|boolean} a condition gives true or false, false where it rests on an undefined
 *   value; anything else gives a number, NaN where it is undefined
 */
function runProgram(list, values) {
  const stack = [];
  for (const part of list) {
    const run = OPERATIONS.get(part);
    let top = typeof part === "string" ? values[part] : part;
    if (run) {
      const b = stack.pop();
      top = run.length > 1 ? run(stack.pop(), b) : run(b);
    }
    if (!isFinite(top)) {
      return /^(?:[<=>]|and$|or$)/.test(list[list.length - 1]) ? false : NaN;
    }
    stack.push(top);
  }
  return stack[0];
}
