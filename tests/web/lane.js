// One lane of a kill test: rounds of opening, doing and closing (kills.py).
async ([visit, rounds, seed, longest]) => {
    let state = seed;
    const chance = most => {  // mulberry32, from memory; any would do
        let t = (state += 0x6d2b79f5);
        t = Math.imul(t ^ (t >>> 15), t | 1);
        t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
        return (((t ^ (t >>> 14)) >>> 0) / 4294967296) * most;
    };
    const sleep = ms => new Promise(done => setTimeout(done, ms));
    const until = async (what, ms = 60000) => {
        for (const stop = performance.now() + ms; performance.now() < stop; await sleep(4)) {
            try { const found = what(); if (found) return found; } catch { /* the frame is not there yet */ }
        }
        throw new Error(`nothing came of ${what}`);
    };
    const open = () => {
        const frame = document.createElement("iframe");
        Object.assign(frame, { src: "/field.html", allow: "microphone" });
        Object.assign(frame.style, { width: "390px", height: "844px", border: "0" });
        document.body.append(frame);
        return frame;
    };
    const find = (frame, words) =>
        [...frame.contentDocument.querySelectorAll("button")].find(b => b.innerText.trim().startsWith(words));
    const walk = frame => until(() => frame.contentDocument.querySelector(".keys"));
    const press = async (frame, words) => (await until(() => find(frame, words))).click();
    const text = (frame, at) => frame.contentDocument?.querySelector(at)?.innerText ?? "";
    const acts = {
        photo: async (frame, n) => {
            const own = frame.contentWindow, files = new own.DataTransfer();
            const bytes = crypto.getRandomValues(new Uint8Array(60000));
            files.items.add(new own.File([bytes], `round-${n}.jpg`, { type: "image/jpeg" }));
            const input = frame.contentDocument.querySelector("input[type=file]");
            input.files = files.files;
            input.dispatchEvent(new own.Event("change", { bubbles: true }));
            return { ms: chance(120), says: () => text(frame, ".said").includes("Picture kept") && `round-${n}.jpg` };
        },
        remark: async (frame, n) => {
            await press(frame, "More");
            await press(frame, "Type a remark");
            const words = await until(() => frame.contentDocument.querySelector("#words"));
            words.value = `remark ${n}`;
            words.dispatchEvent(new frame.contentWindow.Event("input", { bubbles: true }));
            (await until(() => { const key = find(frame, "Keep"); return key && !key.disabled && key; })).click();
            return { ms: chance(100), says: () => text(frame, ".became").includes(`remark ${n}`) && `remark ${n}` };
        },
        talk: async frame => {
            const key = frame.contentDocument.querySelector(".talk"), own = frame.contentWindow;
            key.dispatchEvent(new own.KeyboardEvent("keydown", { key: " ", bubbles: true }));
            await until(() => key.innerText.includes("Listening"));
            return { ms: chance(longest), says: () => "", since: performance.now() };
        },
        open: async () => ({ ms: 0, says: () => "" }),
    };
    const first = open();
    await press(first, visit);
    await walk(first);
    first.remove();
    const out = [], names = ["photo", "talk", "remark", "open"];
    for (let n = 0; n < rounds; n++) {
        const what = names[n % names.length], frame = open();
        if (what === "open") await sleep(chance(500));  // while it opens and sends
        else await walk(frame);
        const { ms, says, since } = await acts[what](frame, n);
        await sleep(ms);
        const end = performance.now(), said = says();
        frame.remove();
        out.push({ what, said: said || "", held_s: since ? (end - since) / 1000 : 0, ended: Date.now() });
    }
    const last = open();
    await until(() => /All \d+ on the server/.test(text(last, ".state")), 240000);
    last.remove();
    return out;
}
