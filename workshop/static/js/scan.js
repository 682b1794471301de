// Scanning a barcode or QR code with the camera into any text input: progressive enhancement.
//
// Contract: mark the input with `data-scan` and load this script with `defer` in the page's head
// block. Where the browser reads barcodes (BarcodeDetector) and the page is served over https or
// from localhost, a button “Scan with the camera” appears behind the input. What is read becomes
// the input's value, `input` and `change` events are sent, and the input's form is submitted as if
// Enter had been pressed. `data-scan="fill"` fills only and leaves the focus in the input.
// Everywhere else the input stays as it is: typing, or a scanner that types the code and Enter,
// does the same. Inputs that htmx brings in later get their button as well.
"use strict";

(() => {
  const WANTED = ["ean_13", "ean_8", "upc_a", "upc_e", "code_128", "code_39", "itf", "qr_code"];
  const PAUSE_MS = 150;
  let formats = [];

  const make = (tag, facts, ...inside) => {
    const made = Object.assign(document.createElement(tag), facts);
    made.append(...inside);
    return made;
  };

  const take = (input, code) => {
    input.value = code;
    input.dispatchEvent(new Event("input", { bubbles: true }));
    input.dispatchEvent(new Event("change", { bubbles: true }));
    if (input.dataset.scan === "fill") input.focus();
    else input.form?.requestSubmit();
  };

  const scan = async (input) => {
    const said = make("p", { className: "scan-said" }, "Hold the code before the camera.");
    said.setAttribute("role", "status");
    const video = make("video", { className: "scan-view", muted: true, playsInline: true });
    const stop = make("button", { type: "button", className: "button button-plain" }, "Stop");
    const dialog = make("dialog", { className: "scan" }, said, video, stop);
    dialog.setAttribute("aria-label", "Scan with the camera");
    let stream = null;
    let open = true;
    const end = () => {
      open = false;
      stream?.getTracks().forEach((track) => track.stop());
      dialog.remove();
    };
    stop.addEventListener("click", () => dialog.close());
    dialog.addEventListener("close", end);
    document.body.append(dialog);
    dialog.showModal();
    try {
      stream = await navigator.mediaDevices.getUserMedia({
        audio: false, video: { facingMode: "environment" },
      });
      if (!open) return end();
      video.srcObject = stream;
      await video.play();
      const detector = new BarcodeDetector({ formats });
      while (open) {
        const [found] = await detector.detect(video);
        if (open && found?.rawValue) {
          dialog.close();
          return take(input, found.rawValue.trim());
        }
        await new Promise((resolve) => setTimeout(resolve, PAUSE_MS));
      }
    } catch {
      if (open) said.textContent = "The camera can’t be used. Allow it in the browser, or type the code.";
    }
  };

  const offer = () => {
    for (const input of document.querySelectorAll("input[data-scan]:not([data-scan-ready])")) {
      input.dataset.scanReady = "";
      const words = "Scan with the camera";
      const button = make("button", { type: "button", className: "button button-plain scan-open" }, words);
      button.addEventListener("click", () => scan(input));
      input.after(button);
    }
  };

  const start = async () => {
    if (!("BarcodeDetector" in window) || !navigator.mediaDevices?.getUserMedia) return;
    const known = await BarcodeDetector.getSupportedFormats();
    formats = WANTED.filter((each) => known.includes(each));
    if (!formats.length) return;
    offer();
    document.addEventListener("htmx:load", offer);
  };
  start();
})();
