async function e(){let e=await caches.open(`kingpost-core`);try{let t=await fetch(`/core.zip`,{cache:`no-cache`,signal:AbortSignal.timeout(2e4)});if(!t.ok)throw Error(`core.zip: ${t.status}`);return await e.put(`/core.zip`,t.clone()),await t.arrayBuffer()}catch(t){let n=await e.match(`/core.zip`);if(!n)throw t;return n.arrayBuffer()}}const t=(async()=>{let t=new URL(`/py/`,location.href).href,{loadPyodide:n}=await import(
/* @vite-ignore */
`${t}pyodide.mjs`),[r,i]=await Promise.all([n({indexURL:t}),e()]);return r.unpackArchive(i,`zip`,{extractDir:`/kingpost`}),r.runPython(`
import json, sys
sys.path.insert(0, "/kingpost")
from kingpost.judge import typed
from kingpost.tell import held, rule
from kingpost.visit.record import plain
def answer(asked):
    given = json.loads(asked)
    found = typed.checks_of(given["readings"], given["facts"])
    said = {"checks": [plain(c) for c in found]}
    scale = held.on_rule(found[0]) if found else None
    said["rule"] = {theme: rule.draw(scale, theme).svg for theme in ("light", "dark")} if scale else None
    return json.dumps(said)
typed.warm()
`),r.globals.get(`answer`)})();t.then(()=>self.postMessage({state:`ready`}),e=>self.postMessage({state:`none`,trouble:String(e)})),self.onmessage=async({data:e})=>{try{self.postMessage({n:e.n,answer:(await t)(e.asked)})}catch(t){self.postMessage({n:e.n,trouble:String(t)})}};