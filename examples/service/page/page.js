"use strict";
const rules = document.getElementById("rules"), job = document.getElementById("job");
const marks = document.getElementById("marks"), said = document.getElementById("said"), sheet = document.getElementById("sheet");
let asked = 0, waiting;

// underline writes the rules once more behind the editor, with the findings marked.
function underline(findings) {
  const starts = [0];
  for (let i = 0; i < rules.value.length; i++) if (rules.value[i] === "\n") starts.push(i + 1);
  const at = (line, column) => Math.min((starts[line - 1] ?? rules.value.length) + column - 1, rules.value.length);
  const parts = [];
  let done = 0;
  for (const f of findings.filter(f => f.line > 0)) {
    const from = Math.max(at(f.line, f.column), done), to = Math.max(at(f.endLine, f.endColumn), from + 1);
    const mark = document.createElement("mark");
    mark.textContent = rules.value.slice(from, to) || " ";
    parts.push(rules.value.slice(done, from), mark);
    done = to;
  }
  marks.replaceChildren(...parts, rules.value.slice(done) + "\n");
  marks.scrollTop = rules.scrollTop;
  marks.scrollLeft = rules.scrollLeft;
}

function say(text, wrong) {
  said.textContent = text;
  said.classList.toggle("wrong", wrong);
  sheet.classList.toggle("old", wrong);
}

// lay asks for the sheet of what stands there now; answers that come late are dropped.
async function lay() {
  const mine = ++asked;
  let body;
  try {
    body = JSON.stringify({rules: rules.value, job: JSON.parse(job.value)});
  } catch (e) {
    return say("The job is no JSON: " + e.message, true);
  }
  try {
    const answer = await fetch("sheet.svg", {method: "POST", body});
    const text = await answer.text();
    if (mine !== asked) return;
    if (answer.ok) {
      const svg = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
      sheet.replaceChildren(document.importNode(svg, true));
      underline([]);
      return say("Laid out.", false);
    }
    const no = JSON.parse(text), findings = no.findings ?? [];
    underline(findings);
    say(findings.length ? findings.map(f => f.message).join("\n") : no.error, true);
  } catch (e) {
    if (mine === asked) say("No answer: " + e.message, true);
  }
}

for (const box of [rules, job]) box.addEventListener("input", () => {
  underline([]);
  clearTimeout(waiting);
  waiting = setTimeout(lay, 150);
});
rules.addEventListener("scroll", () => { marks.scrollTop = rules.scrollTop; marks.scrollLeft = rules.scrollLeft; });
lay();
