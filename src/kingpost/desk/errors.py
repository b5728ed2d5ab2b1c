"""One error shape at every door: {"error": {"code", "problem", "mend", "where"}}."""

from __future__ import annotations

import logging
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse

CODES = {
    400: "bad_request",
    401: "not_paired",
    403: "forbidden",
    404: "not_found",
    405: "wrong_method",
    409: "conflict",
    410: "gone",
    412: "wrong_version",
    413: "too_large",
    415: "wrong_type",
    422: "cannot_be_used",
    429: "too_many",
    460: "checksum",
    500: "fault",
    503: "busy",
    507: "full",
}
MENDS = {
    404: "check the address; GET /api/1/about says what is here",
    405: "docs/server.md lists what each door takes",
    409: "ask for the state (HEAD) and go on from there",
    410: "begin again",
    412: "send Tus-Resumable: 1.0.0",
    500: "send it again; if it stays, read the server's own output",
    503: "wait a moment and send it again",
}
log = logging.getLogger("kingpost.desk")


class DeskError(Exception):
    """What a door refuses, and why."""

    def __init__(self, status: int, problem: str, mend: str = "", where: str = "") -> None:
        self.status, self.problem, self.mend, self.where = status, problem, mend, where
        super().__init__(problem)


def answer(status: int, problem: str, mend: str = "", where: str = "", headers: Any = None) -> JSONResponse:
    code = CODES.get(status, "bad_request" if status < 500 else "fault")
    told = {"code": code, "problem": problem, "mend": mend or MENDS.get(status, "see docs/server.md"), "where": where}
    return JSONResponse({"error": told}, status_code=status, headers=headers)


def install(app: FastAPI) -> None:
    """Every way a door can fail, in the one shape."""

    @app.exception_handler(DeskError)
    async def ours(_: Request, err: DeskError) -> JSONResponse:
        return answer(err.status, err.problem, err.mend, err.where)

    @app.exception_handler(HTTPException)
    async def theirs(_: Request, err: HTTPException) -> JSONResponse:
        said = str(err.detail or "")
        problem = "nothing is at this address" if err.status_code == 404 and said == "Not Found" else said
        return answer(err.status_code, problem or CODES.get(err.status_code, "refused"), headers=err.headers)

    @app.exception_handler(RequestValidationError)
    async def form(_: Request, err: RequestValidationError) -> JSONResponse:
        first = err.errors()[0]
        where = ".".join(str(part) for part in first.get("loc", ()))
        return answer(400, str(first.get("msg", "cannot be read")), "docs/server.md says what this door takes", where)

    @app.exception_handler(Exception)
    async def fault(request: Request, err: Exception) -> JSONResponse:
        log.error("%s %s: %s", request.method, request.url.path, type(err).__name__, exc_info=err)
        return answer(500, f"a fault in Kingpost ({type(err).__name__})")
