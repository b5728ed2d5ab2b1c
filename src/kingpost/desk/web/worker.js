const e=(async()=>{let e=new URL(`/py/`,location.href).href,{loadPyodide:t}=await import(
/* @vite-ignore */
`${e}pyodide.mjs`),[n,r]=await Promise.all([t({indexURL:e}),fetch(`/core.zip`).then(e=>e.ok?e.arrayBuffer():Promise.reject(/* @__PURE__ */ Error(`no core.zip`)))]);return n.unpackArchive(r,`zip`,{extractDir:`/kingpost`}),n.runPython(`
import json, sys
sys.path.insert(0, "/kingpost")
from kingpost.judge import typed
from kingpost.tell import held, rule
def answer(asked):
    given = json.loads(asked)
    found = typed.checks_of(given["readings"], given["facts"])
    said = json.loads(typed.answer(asked))
    scale = held.on_rule(found[0]) if found else None
    said["rule"] = {theme: rule.draw(scale, theme).svg for theme in ("light", "dark")} if scale else None
    return json.dumps(said)
typed.warm()
`),n.globals.get(`answer`)})();e.then(()=>self.postMessage({state:`ready`}),e=>self.postMessage({state:`none`,trouble:String(e)})),self.onmessage=async({data:t})=>{try{self.postMessage({n:t.n,answer:(await e)(t.asked)})}catch(e){self.postMessage({n:t.n,trouble:String(e)})}};