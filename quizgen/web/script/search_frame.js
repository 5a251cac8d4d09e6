/* A script of its own, before the theme's: where a page is opened from a folder, browsers allow no
   worker. The search of the theme then runs in an empty frame that looks like one from within. */
(function () {
  "use strict";
  if (location.protocol !== "file:") return;

  class FrameWorker extends EventTarget {
    /** @param {string|URL} address of the worker's script */
    constructor(address) {
      super();
      this.waiting = [];
      const frame = document.createElement("iframe");
      frame.hidden = true;
      frame.title = "Search";
      frame.srcdoc = "<!doctype html>";
      frame.addEventListener("load", () => this.open(frame.contentWindow, String(address)), { once: true });
      this.frame = frame;
      document.documentElement.append(frame);
    }

    async open(inside, address) {
      // Within the frame a message goes to this page, and the worker's own listeners hear ours.
      inside.postMessage = (data) => this.dispatchEvent(new MessageEvent("message", { data }));
      inside.importScripts = async (...addresses) => {
        for (const one of addresses) await load(inside.document, one);
      };
      await load(inside.document, new URL(address, document.baseURI).href);
      this.inside = inside;
      this.waiting.splice(0).forEach((data) => this.postMessage(data));
    }

    postMessage(data) {
      if (this.inside) this.inside.dispatchEvent(new this.inside.MessageEvent("message", { data }));
      else this.waiting.push(data);
    }

    terminate() {
      this.frame.remove();
    }
  }

  /** Done too when a script is missing: the worker then lacks what stood in it, as it would otherwise. */
  function load(page, address) {
    return new Promise((done) => {
      const script = page.createElement("script");
      script.src = address;
      script.onload = script.onerror = () => done();
      page.head.append(script);
    });
  }

  // The theme looks for this name to find its languages.
  window.IFrameWorker = FrameWorker;
  window.Worker = FrameWorker;
})();
