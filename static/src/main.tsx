/** The page: one screen for each address after the #. */

import { effect, signal } from "@preact/signals";
import { render } from "preact";
import { must } from "./book/must";
import { Act, Acts } from "./screens/checks/act";
import { Live } from "./screens/checks/live";
import { OwnActs } from "./screens/checks/own_acts";
import { Pass } from "./screens/checks/pass";
import { Service } from "./screens/checks/service";
import { Share } from "./screens/checks/share";
import { Stops } from "./screens/checks/stops";
import { Strike } from "./screens/checks/strike";
import { TestPicture } from "./screens/checks/test_picture";
import { Walk } from "./screens/checks/walk";
import { QuickScreen } from "./screens/findings/quick";
import { SignOff } from "./screens/findings/signoff";
import { Home } from "./screens/show/home";
import { Join } from "./screens/show/join";
import { NoStorage } from "./screens/show/no_storage";
import { Settings } from "./screens/show/settings";
import { Unsent } from "./screens/show/unsent";
import { Bench } from "./screens/stock/bench";
import { CaseScreen } from "./screens/stock/case";
import { CasesScreen } from "./screens/stock/cases";
import { Hire } from "./screens/stock/hire";
import { Look } from "./screens/stock/look";
import { Scan } from "./screens/stock/scan";
import { phase, settings, shows, start, texts, updateReady } from "./ui/app";
import { AskToLeave, guardLeaving } from "./ui/half_entered";
import { Page } from "./ui/parts";
import { guardSecondTaps } from "./ui/steady";
import { STAGES } from "./walk/stock/cases";
import "./ui/phone.css";

const hash = signal(location.hash);
guardSecondTaps();
guardLeaving(
  () => hash.peek(),
  (address) => {
    hash.value = address;
    scrollTo(0, 0);
  },
);

// a language that is set anew, even the same one, has the whole page styled again
effect(() => {
  const { language, big, left } = settings.value;
  document.documentElement.lang = language;
  document.documentElement.classList.toggle("big", big);
  document.documentElement.classList.toggle("left", left);
});

function App() {
  const t = texts();
  if (phase.value === "quiet") return null;
  if (phase.value === "elsewhere")
    return (
      <Page book={null} title="Seamwalk">
        {t("app.elsewhere")}
      </Page>
    );
  if (phase.value === "no_storage") return <NoStorage />;
  if (phase.value === "starting")
    return (
      <Page book={null} title="Seamwalk">
        {t("app.starting")}
      </Page>
    );
  return (
    <>
      <Screen address={hash.value.slice(1)} />
      <AskToLeave />
    </>
  );
}

function Screen({ address }: { address: string }) {
  if (address.startsWith("join=")) return <Join key={address} invite={address.slice("join=".length)} />;
  const [screen = "", book = "", wall = "", walkKey = "", index = "0"] = address.split("/");
  const show = shows.get(book) ?? [...shows.values()].at(-1);
  if (screen === "join") return <Join invite={null} />;
  if (screen === "settings") return <Settings show={show ?? null} />;
  if (!show) return <Join invite={null} />;
  const file = show.fileOf(wall);
  const walk = file?.walks.find((item) => item.key === walkKey);
  if (screen === "walk" && file && walk?.stops[Number(index)]) {
    const stands = `${book}/${wall}/${walkKey}`;
    return <Walk key={stands} show={show} wall={wall} file={file} walk={walk} index={Number(index)} />;
  }
  if (screen === "pass" && file && walk)
    return <Pass key={address} show={show} wall={wall} file={file} walk={walk} />;
  if (screen === "share" && file && walk)
    return <Share key={address} show={show} wall={wall} file={file} walk={walk} />;
  if (screen === "service" && file && show.may("swapped"))
    return <Service key={address} show={show} wall={wall} file={file} tile={walkKey} />;
  if (screen === "test" && file) return <TestPicture show={show} wall={wall} file={file} />;
  if (screen === "acts" || (screen === "act" && !show.may("procedure_walked"))) return <Acts show={show} />;
  if (screen === "act" && wall && walkKey)
    return <Act key={address} show={show} procedure={wall} at={walkKey} />;
  if (screen === "sign" && file) return <SignOff key={address} show={show} wall={wall} file={file} />;
  if (screen === "quick" && file) return <QuickScreen key={address} show={show} wall={wall} file={file} />;
  if (screen === "scan") {
    const target = file?.tiles.some(({ id }) => id === walkKey) ? { wall, tile: walkKey } : null;
    return <Scan key={address} show={show} target={target} />;
  }
  const stage = STAGES.find((key) => key === wall);
  if (screen === "cases" && stage) return <CasesScreen key={address} show={show} stage={stage} />;
  if (screen === "case" && stage && walkKey)
    return <CaseScreen key={address} show={show} stage={stage} box={walkKey} />;
  if (screen === "look" && stage && walkKey)
    return <Look key={address} show={show} stage={stage} code={walkKey} />;
  if (screen === "bench") return <Bench key={address} show={show} code={wall} />;
  if (screen === "hire") return <Hire key={address} show={show} id={wall} />;
  if (screen === "own") return <OwnActs show={show} />;
  if (screen === "stops") return <Stops show={show} />;
  if (screen === "strike" && file) return <Strike key={address} show={show} wall={wall} file={file} />;
  if (screen === "live" && file) return <Live show={show} wall={wall} file={file} />;
  if (screen === "unsent") return <Unsent show={show} />;
  return <Home show={show} />;
}

/** Look for a new build often: installed apps do not do so by themselves. */
async function watchForUpdates(): Promise<void> {
  const registration = await navigator.serviceWorker.register("/sw.js", { updateViaCache: "none" });
  const offer = () => {
    if (registration.waiting && navigator.serviceWorker.controller) updateReady.value = registration.waiting;
  };
  offer();
  registration.addEventListener("updatefound", () =>
    registration.installing?.addEventListener("statechange", offer),
  );
  let taken = navigator.serviceWorker.controller === null;
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    if (taken) taken = false;
    else location.reload();
  });
  const look = () => void registration.update().catch(() => undefined);
  for (const event of ["pageshow", "focus"]) addEventListener(event, look);
  document.addEventListener("visibilitychange", look);
}

start();
render(<App />, must(document.getElementById("app")));
if ("serviceWorker" in navigator) void watchForUpdates();
