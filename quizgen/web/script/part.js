/* The places of a question where something is answered, each with one face: a box for a number, a list
   of options, or the steps to be put in order. */

/**
 * @typedef {Object} Part
 * @property {HTMLElement} block
 * @property {HTMLElement} region its live region, which also carries the last verdict for the eye
 * @property {() => string} text what is answered, as one line; "" for nothing
 * @property {() => (string|number[])} read the same as judged
 * @property {(text: string) => void} write
 * @property {() => string} describe the same for a person
 * @property {() => void} focus
 * @property {(isError: boolean) => void} mark for readers that do not see the block
 */

/** @returns {Part[]} one per step of a calculation, or the only one of a choice or an order */
function partsOf(section, data, changed, entered) {
  const lists = [...section.querySelectorAll(".qz-options, .qz-order")].map((list) => (
    list.matches(".qz-order") ? orderPart(list, changed) : optionsPart(list, data, changed, entered)));
  const boxes = [...section.querySelectorAll(".qz-entry")].map((block, at) => boxPart(block, data.steps[at], changed, entered));
  const parts = [...boxes, ...lists];
  parts.forEach((part, at) => {
    part.region.id = `${section.id}-says-${at}`;
    part.at = at;
  });
  return parts;
}

function boxPart(block, step, changed, entered) {
  const input = block.querySelector("input");
  const echo = block.querySelector(".qz-read");
  const described = input.getAttribute("aria-describedby");
  const echoed = () => {
    if (!input.value) echo.textContent = "";
    else withMore(() => { echo.textContent = more.echoOf(step, input.value); });
  };
  input.maxLength = 80;
  const part = {
    block,
    region: block.querySelector(".qz-says"),
    text: () => input.value.trim(),
    read: () => input.value,
    write(text) {
      input.value = text;
      echoed();
    },
    describe: () => input.value,
    focus: () => input.focus(),
    mark(isError) {
      if (isError) input.setAttribute("aria-invalid", "true");
      else input.removeAttribute("aria-invalid");
      input.setAttribute("aria-describedby", isError ? `${part.region.id} ${described}` : described);
    },
  };
  input.addEventListener("input", () => {
    echoed();
    changed(part);
  });
  input.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || event.isComposing) return;
    event.preventDefault();
    entered(part);
  });
  return part;
}

function optionsPart(list, data, changed, entered) {
  const inputs = [...list.querySelectorAll("input")];
  const region = list.nextElementSibling;
  const chosen = () => inputs.map((_, at) => at).filter((at) => inputs[at].checked);
  const part = {
    block: list,
    region,
    text: () => chosen().join(),
    read: data.kind === "choice" ? chosen : () => chosen().map((at) => data.options[at]).join(),
    write(text) {
      const places = text.split(",");
      inputs.forEach((input, at) => { input.checked = places.includes(String(at)); });
    },
    describe: () => chosen().map((at) => optionText(inputs[at])).join("; "),
    focus: () => (inputs.find((input) => input.checked) || inputs[0]).focus(),
    mark(isError) {
      if (isError) list.setAttribute("aria-describedby", region.id);
      else list.removeAttribute("aria-describedby");
    },
  };
  list.addEventListener("change", () => changed(part));
  list.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault();
    entered(part);
  });
  return part;
}

function optionText(input) {
  return input.closest("label").textContent.trim();
}

function orderPart(list, changed) {
  const items = [...list.children];
  const number = (item) => Number(item.dataset.at);
  const part = {
    block: list,
    region: list.nextElementSibling,
    // The order found at the start is no answer yet, so it is written as nothing.
    text: () => ([...list.children].every((item, at) => item === items[at]) ? "" : [...list.children].map(number).join()),
    read: () => [...list.children].map(number),
    write(text) {
      const places = text ? text.split(",").map((at) => items.findIndex((item) => item.dataset.at === at)) : items.keys();
      for (const at of places) list.append(items[at]);
    },
    describe: () => [...list.children].map((item) => item.querySelector(".qz-move").textContent).join(" / "),
    focus: () => list.querySelector("button").focus(),
    mark(isError) {
      if (isError) list.setAttribute("aria-describedby", part.region.id);
      else list.removeAttribute("aria-describedby");
    },
  };
  placeButtons(list, part.region, () => changed(part));
  return part;
}
