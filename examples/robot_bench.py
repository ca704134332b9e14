#!/usr/bin/env python3
"""A rig's loop: ask for the next planned run, carry it out, log the trial, until nothing is left.

CAUTION. This program makes a robot move. Before you put your own motion into carry_out():
  * keep people out of the motion range, or use the safeguard that your risk assessment names;
  * fingers pinch; compressed air and burst hoses injure; vent the line before you touch the hand;
  * food must stay food: clean to the plant's hygiene plan;
  * this loop and Holdfast are not a safety function. Emergency stop, speed limits and guards belong to the robot's own
    safety controller. Your risk assessment, local codes and licensed practice decide.

As it stands, carry_out() moves nothing: it throws dice, so that you can try the loop without a robot. Trials that it
logs carry the note "simulated". Python's standard library is all it needs:

    python3 robot_bench.py --server http://127.0.0.1:8420 --study my-study --rig rig-1
"""

import argparse
import json
import math
import random
import sys
import time
import urllib.error
import urllib.parse
import urllib.request
import uuid

RETRIES = 6  # of a request that got no answer; waits double from FIRST_WAIT_S
FIRST_WAIT_S = 0.5


class Refused(Exception):
    """The server understood and said no. problem is its problem document (RFC 9457)."""

    def __init__(self, status, problem):
        super().__init__(problem.get("detail", "no reason given"))
        self.status = status
        self.problem = problem


def call(method, url, body=None):
    """Send one request and return the answer. A request without an answer is sent again: that is safe, because
    asking for the next run gives the same one to the same rig, and a trial carries a key that the server knows again."""
    data = None if body is None else json.dumps(body).encode()
    wait = FIRST_WAIT_S
    for attempt in range(RETRIES + 1):
        request = urllib.request.Request(url, data=data, method=method, headers={"Content-Type": "application/json"})
        try:
            with urllib.request.urlopen(request, timeout=30) as answer:
                text = answer.read()
                return json.loads(text) if text else None
        except urllib.error.HTTPError as e:
            text = e.read()
            if e.code < 500 or attempt == RETRIES:
                try:
                    problem = json.loads(text)
                except ValueError:
                    problem = {"detail": text.decode(errors="replace")}
                raise Refused(e.code, problem) from None
        except (urllib.error.URLError, TimeoutError, ConnectionError):
            if attempt == RETRIES:
                raise
        time.sleep(wait)
        wait *= 2


def carry_out(run, hand, item):
    """SIMULATED. Replace this with your robot: move the hand along the approach direction of run["orientation"], do the
    strategy's steps, close to run["closing"] (0 to 1 of the hand's range, hand["command_full"] in hand["command_unit"]),
    lift, hold, and see what became of the item.

    The orientation is the unit quaternion qw, qx, qy, qz that turns the hand from its reference pose (palm straight down,
    fingers' opening along the setting's x) into its pose. Put the item at offset_x_mm, offset_y_mm from where the
    robot believes it to be: the offset is part of the trial."""
    dice = random.Random(f"simulated {run['order']}")
    tilt = math.radians(run["orientation"]["tilt_deg"])
    offset = math.hypot(run["offset_x_mm"], run["offset_y_mm"])
    chance = max(0.02, min(0.98, 0.95 - 0.5 * math.sin(tilt) - 0.03 * offset))
    return {
        "outcome": "held" if dice.random() < chance else dice.choice(["slipped", "missed", "pushed"]),
        "peak_force_N": round(min(hand["force_max_N"], 2 + 2 * dice.random()), 2),
        "duration_s": round(4 + dice.random(), 2),
        "note": "simulated",
    }


def main():
    options = argparse.ArgumentParser(description="Run a study's planned trials with a rig.")
    options.add_argument("--server", default="http://127.0.0.1:8420", help="where holdfast serve answers")
    options.add_argument("--study", required=True, help="the study's ID")
    options.add_argument("--rig", default="rig-1", help="this rig's name, the same each time it asks")
    options.add_argument("--most", type=int, default=0, help="stop after so many trials; 0: go on until nothing is left")
    given = options.parse_args()

    study = f"{given.server}/api/v1/studies/{urllib.parse.quote(given.study)}"
    next_run = f"{study}/next?holder={urllib.parse.quote(given.rig)}"
    done = 0
    try:
        while not given.most or done < given.most:
            try:
                job = call("GET", next_run)
            except Refused as no:
                if no.problem.get("kind") == "notFound" and done:
                    break  # nothing is left
                raise
            if not done:
                for caution in job["cautions"]:
                    print("CAUTION:", caution)
            run = job["run"]
            result = carry_out(run, job["hand"], job["item"])
            trial = {"key": f"{given.rig}-{run['order']}-{uuid.uuid4()}", "order": run["order"], "operator": given.rig, **result}
            logged = call("POST", f"{study}/trials", trial)
            done += 1
            print(f"run {run['order']}: {logged['counted']} ({job['left'] - 1} left)")
    except KeyboardInterrupt:
        print("stopped by hand")
    except Refused as no:
        print(f"The server refused: {no}", file=sys.stderr)
        for fault in no.problem.get("errors", []):
            print(f"  {fault['location']}: {fault['message']}", file=sys.stderr)
        return 1
    except (urllib.error.URLError, TimeoutError, ConnectionError) as e:
        print(f"No answer from {given.server}: {e}", file=sys.stderr)
        return 1
    finally:
        try:
            call("DELETE", next_run)  # give back a run that was not carried out
        except (Refused, OSError):
            pass  # its lease ends by itself
    print(f"{done} trials logged.")
    return 0


if __name__ == "__main__":
    sys.exit(main())
