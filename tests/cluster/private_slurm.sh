#!/usr/bin/env bash
# tests/cluster/private_slurm.sh - a Slurm of one node in a folder of its own: own munge key, own ports, nothing of the system
#   use     source private_slurm.sh; start_slurm FOLDER CPUS || why=$slurm_why; ...; stop_slurm
#   ends    only the daemons it started, by their process ids
slurm_why="" slurm_pids=()

free_port() { python3 -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])'; }

start_munge() { # folder
  mkdir -m 700 -p "$1/munge"
  dd if=/dev/urandom of="$1/munge/key" bs=128 count=1 status=none && chmod 400 "$1/munge/key"
  munged --foreground --force --key-file="$1/munge/key" --socket="$1/munge/socket" --pid-file="$1/munge/pid" --log-file="$1/munge/log" \
    --seed-file="$1/munge/seed" >"$1/munge/out" 2>&1 &
  slurm_pids+=($!)
  for _ in $(seq 50); do
    munge -n --socket="$1/munge/socket" >/dev/null 2>&1 && return 0
    sleep 0.1
  done
  return 1
}

write_slurm_conf() { # folder cpus
  cat >"$1/slurm.conf" <<CONF
ClusterName=stifle$$
SlurmctldHost=$(hostname -s)(127.0.0.1)
SlurmUser=$(id -un)
SlurmdUser=$(id -un)
AuthType=auth/munge
CredType=cred/munge
AuthInfo=socket=$1/munge/socket
SlurmctldPort=$(free_port)
SlurmdPort=$(free_port)
StateSaveLocation=$1/state
SlurmdSpoolDir=$1/spool
SlurmctldPidFile=$1/slurmctld.pid
SlurmdPidFile=$1/slurmd.pid
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
SelectType=select/cons_tres
SelectTypeParameters=CR_CPU
SlurmdParameters=config_overrides
MpiDefault=none
ReturnToService=2
NodeName=$(hostname -s) NodeAddr=127.0.0.1 CPUs=$2 RealMemory=1000000
PartitionName=all Nodes=ALL Default=YES MaxTime=INFINITE State=UP
CONF
}

# Returns 1 with the reason in slurm_why.
start_slurm() { # folder cpus
  local program
  for program in munged munge slurmctld slurmd sbatch squeue sinfo python3; do
    command -v "$program" >/dev/null || { slurm_why="$program is not installed (scenarios/prepare.sh --tests)"; return 1; }
  done
  mkdir -p "$1/state" "$1/spool"
  start_munge "$1" || { slurm_why="munged does not start: $(tail -1 "$1/munge/out")"; return 1; }
  write_slurm_conf "$1" "$2"
  export SLURM_CONF=$1/slurm.conf
  slurmctld -D -i -f "$SLURM_CONF" >"$1/slurmctld.log" 2>&1 &
  slurm_pids+=($!)
  slurmd -D -f "$SLURM_CONF" >"$1/slurmd.log" 2>&1 &
  slurm_pids+=($!)
  for _ in $(seq 150); do
    [ "$(sinfo -h -o %T 2>/dev/null)" = idle ] && return 0
    sleep 0.2
  done
  slurm_why="slurmctld or slurmd does not start: $(grep -h -m1 -i 'fatal\|error' "$1/slurmctld.log" "$1/slurmd.log")"
  return 1
}

stop_slurm() {
  local i
  for ((i = ${#slurm_pids[@]} - 1; i >= 0; --i)); do
    kill "${slurm_pids[i]}" 2>/dev/null && wait "${slurm_pids[i]}" 2>/dev/null
  done
  slurm_pids=()
}
