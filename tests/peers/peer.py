"""Asking the running service, and keeping account of how far it is from its peers."""

import http.client
import json
import math
from dataclasses import dataclass, field

import numpy as np


@dataclass
class Account:
    """Comparisons of one calculation with one peer."""

    name: str
    peer: str
    bound: float
    count: int = 0
    largest: float = 0.0
    worst: object = None


@dataclass
class Service:
    """The program under test, on a connection that is kept."""

    host: str
    port: int
    accounts: dict = field(default_factory=dict)
    asked: int = 0
    connection: http.client.HTTPConnection = None

    @property
    def site(self):
        return f"http://{self.host}:{self.port}"

    def post(self, address, inputs):
        """Status and body of a calculation."""
        body = json.dumps(inputs)
        try:
            return self.send(address, body)
        except (ConnectionError, http.client.HTTPException):
            # the program ends a connection on which nothing was asked for a while
            self.connection = None
            return self.send(address, body)

    def send(self, address, body):
        if self.connection is None:
            self.connection = http.client.HTTPConnection(self.host, self.port, timeout=30)
        self.connection.request("POST", f"/api/calc/{address}", body, {"content-type": "application/json"})
        answer = self.connection.getresponse()
        return answer.status, json.loads(answer.read())

    def ask(self, address, **inputs):
        """The result of a calculation that is to work out."""
        status, body = self.post(address, {name: plain(value) for name, value in inputs.items()})
        assert status == 200, f"{address} {inputs}: {body}"
        self.asked += 1
        return body["result"]

    def compare(self, address, peer, ours, theirs, bound, inputs, absolute=False):
        """Notes a difference, relative to the peer's value or absolute where values cross zero, and holds it to its bound."""
        account = self.accounts.setdefault((address, peer), Account(address, peer, bound))
        ours, theirs = float(ours), float(theirs)
        difference = abs(ours - theirs)
        if not absolute and theirs != 0.0:
            difference /= abs(theirs)
        assert math.isfinite(difference), f"{address}: {ours} against {theirs} for {inputs}"
        account.count += 1
        if difference >= account.largest:
            account.largest, account.worst = difference, (ours, theirs, inputs)
        assert difference <= bound, f"{address}: {ours} against {theirs} of {peer}, {difference:.2e} apart, for {inputs}"

    def compare_each(self, address, peer, result, theirs, bound, inputs, absolute=False):
        """The same for several results, each by its name; a list goes by its places."""
        for name, value in theirs.items():
            ours = np.atleast_1d(result[name])
            value = np.atleast_1d(value)
            assert ours.shape == value.shape, f"{address}: {name} is {ours} against {value} for {inputs}"
            for mine, other in zip(ours, value):
                self.compare(address, peer, mine, other, bound, inputs, absolute)

    def table(self):
        """One line a calculation and peer, and what they come to."""
        lines = [f"{'calculation':44} {'peer':34} {'count':>6} {'largest':>9} {'bound':>9}"]
        for account in self.accounts.values():
            lines.append(
                f"{account.name:44} {account.peer:34} {account.count:6d} {account.largest:9.1e} {account.bound:9.1e}"
            )
        count = sum(account.count for account in self.accounts.values())
        calculations = len({account.name for account in self.accounts.values()})
        lines.append(f"{calculations} calculations, {count} comparisons for {self.asked} random inputs")
        return "\n".join(lines)


def plain(value):
    """numpy's numbers as JSON writes them."""
    if hasattr(value, "tolist"):
        return value.tolist()
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    return value
