/* What stands beside a box while a number is typed into it. */

/** What was read of a number being typed, in the unit asked; what is not a number yet is no error here. */
function echoOf(step, typed) {
  const got = readNumber(typed, UNITS);
  const doubts = { blank: "", number: "no number yet", "two ways": "reads two ways", unit: "no known unit yet" };
  if ("why" in got) return doubts[got.why];
  const own = Number(got.digits) === Math.abs(got.number) ? spaced((got.number < 0 ? "-" : "") + got.digits) : "";
  const plain = (unit) => (own ? withUnit(own, unit.unit) : plainValue(unit, got.number * unit.factor));
  if (!got.unit) return `= ${plain(step.unit_asked ? { ...step, unit: "" } : step)}${step.unit_asked && step.unit ? ", no unit yet" : ""}`;
  const typedUnit = { unit: got.unit.text, factor: got.unit.factor };
  if (got.unit.dimension !== step.dimension) return `= ${plain(typedUnit)}, another kind of unit`;
  if (step.unit_asked || got.unit.text === step.unit) return `= ${plain(step.unit_asked ? typedUnit : step)}`;
  return `= ${plainValue(step, got.number * got.unit.factor - offsetTyped(step, got.unit))}`;
}

/** An SI value in the step's unit with the figures it has, six at most where they were computed. */
function plainValue(step, value) {
  const counted = value / step.factor;
  const size = Math.abs(counted);
  if (size && (size < 1e-6 || size >= 1e9)) {
    const [digits, power] = counted.toExponential(5).split("e");
    return withUnit(`${spaced(String(+digits))}·10^${spaced(String(+power))}`, step.unit);
  }
  return withUnit(spaced(writeNumber(counted, { figures: 6 }).replace(/(\.\d*?)0+$/, "$1").replace(/\.$/, "")), step.unit);
}
