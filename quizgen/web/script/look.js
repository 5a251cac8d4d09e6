/* The look of what this script makes comes with it. */

document.head.append(make("style", {}, LATER_STYLE));
