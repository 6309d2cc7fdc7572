"""How the service is served: `gunicorn -c docker/gunicorn.conf.py 'service.app:create_app()'`."""

import glob
import os
import shutil
import sys
import tempfile

# Each worker counts in files, and whichever is asked for /metrics adds them up. In memory, one folder a server, named
# by its process: that is the same after a reload, and another server beside it has its own. Containers that share
# their memory number their processes each for itself: the name says whose number it is.
memory = "/dev/shm" if os.path.isdir("/dev/shm") else tempfile.gettempdir()  # noqa: S108, PTH112
numbers = "/proc/self/ns/pid"
of = os.stat(numbers).st_ino if os.path.exists(numbers) else 0  # noqa: PTH110, PTH116
ours = f"{memory}/fitting-counts-{os.geteuid()}-{of}-"
counts = os.environ["PROMETHEUS_MULTIPROC_DIR"] = f"{ours}{os.getpid()}"
# There already for whoever loads the application before the start.
os.makedirs(counts, 0o700, exist_ok=True)  # noqa: PTH103

from service.starting import made_to_last

with made_to_last():
    from prometheus_client import values

    from service import logs, traces
    from service.http.worker import CarefulWorker
    from service.settings import Settings, SettingWrong

try:
    settings = Settings.read(os.environ)
    if settings.traces_url:
        traces.check_installed()
except (SettingWrong, traces.TracesMissing) as wrong:
    sys.exit(f"Error: {wrong}")

bind = settings.bind

# An answer is a millisecond of arithmetic and a short transaction. Processes use every core for that;
# threads in one process would only take turns, and the slowest answers get slower.
# Ours is the sync worker, but it waits for all callers at once, and for none longer than a request may take to arrive.
CarefulWorker.read_seconds = settings.read_seconds
worker_class = CarefulWorker
workers = settings.workers

# Each worker makes its own application after the fork: database connections must not be shared across one.
preload_app = False

# No request takes seconds. A worker silent for this long is stuck, and is replaced.
timeout = 30
# On SIGTERM the requests in hand are finished; container engines kill after 30 s or, often, 10 s.
graceful_timeout = 8
# A file of the contract's pages goes out as everything else does: part by part, as its reader takes it.
sendfile = False
# Sync workers close after each answer; this is for whoever chooses another class.
keepalive = 5

# Now and then a fresh process, so that no slow leak grows old; never all at once.
max_requests = 20_000
max_requests_jitter = 2_000

# Our longest address is a page of a list with its cursor; a till sends a dozen headers.
limit_request_line = 2_048
limit_request_fields = 50
limit_request_field_size = 8_190

# No header moves an address: a proxy that hides /metrics would let it through by another name.
forwarder_headers = ""

# Addresses hold customers' references and slip tokens: no access log. Who asks for one gets none of them.
accesslog = None
access_log_format = "%(t)s %(m)s %(s)s %(B)s bytes %(M)s ms"
errorlog = "-"

# Heartbeat files belong in memory: on a slow disk they stall workers.
worker_tmp_dir = memory

# No remote control of the server, and no socket file in somebody's home.
control_socket_disable = True

# Files are named by a worker's place and not by its process: whoever takes the place of one that left counts on in
# its files, and they are never more than there are workers.
taken = "fitting_place"


def lives(number):
    """Whether there is a process of that number."""
    try:
        os.kill(number, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except PermissionError:
        pass
    return True


def on_starting(server):
    """One JSON object a line from here on (service/logs.py), and nothing counted yet."""
    logs.configure()
    # What servers left that were killed, and what one of our number may have.
    for folder in glob.glob(f"{ours}*"):  # noqa: PTH207
        number = folder.removeprefix(ours)
        if folder == counts or (number.isdecimal() and not lives(int(number))):
            shutil.rmtree(folder, ignore_errors=True)
    # Made anew, and by us: a folder that somebody else put there stops the start.
    os.mkdir(counts, 0o700)  # noqa: PTH102


def pre_fork(server, worker):
    """Give the new worker the lowest place that nobody has."""
    used = {getattr(each, taken) for each in server.WORKERS.values() if hasattr(each, taken)}
    setattr(worker, taken, min(set(range(len(used) + 1)) - used))


def post_fork(server, worker):
    """Before the application is made: it counts in the files of the worker's place."""
    place = getattr(worker, taken)
    # Some systems clear memory of who logs out: the service goes on, and counts anew worker by worker.
    os.makedirs(counts, 0o700, exist_ok=True)  # noqa: PTH103
    values.ValueClass = values.MultiProcessValue(process_identifier=lambda: place)


def on_exit(server):
    """Leave nothing behind."""
    shutil.rmtree(counts, ignore_errors=True)
