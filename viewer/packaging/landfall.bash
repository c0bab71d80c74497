# Completion of landfall for bash. Commands and options come from the program's own help, so that they are
# always those of the version that is installed; the words of options with a fixed choice stand here.

_landfall_help() {  # PROGRAM WORD...: the commands and options that its help lists, one a line
  "$@" --help 2>/dev/null | sed -n \
    -e '/^Subcommands:/,$ s/^  \([a-z][a-z-]*\) .*/\1/p' \
    -e 's/^  \(-[a-zA-Z]\),\(--[a-z-]*\).*/\1\n\2/p' \
    -e 's/^  \(--[a-z-]*\).*/\1/p'
}

_landfall() {
  local program=${COMP_WORDS[0]} word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD - 1]}
  local choices='' command=() i
  COMPREPLY=()
  case $before in
    --side) choices='top bottom' ;;
    --fit) choices='similarity perspective' ;;
    --face) choices='lands balls' ;;
    --theme) choices='day night strong' ;;
    --scale) choices='1:1' ;;
    --by) choices='month quarter' ;;
    --sheet) choices='wiring measuring decision record all' ;;
    --paper) choices='a4 letter' ;;
    --safety-critical) choices='yes no' ;;
    --class)
      choices='power ground clock strobe data mask address command control differential analogue unconnected'
      choices+=' unknown'
      ;;
    --bench | -o | --output | --from)
      mapfile -t COMPREPLY < <(compgen -f -- "$word")
      compopt -o filenames 2>/dev/null
      return
      ;;
    --name | --into | --title | --board | --package | --pitch | --columns | --job | --net | --part | --ball | --turn | --match | --note) return ;;
    --bus | --lane | --channel) return ;;
  esac
  if [ -n "$choices" ]; then
    mapfile -t COMPREPLY < <(compgen -W "$choices" -- "$word")
    return
  fi
  # The command, and the one below it, as far as they are typed.
  for ((i = 1; i < COMP_CWORD; i++)); do
    case ${COMP_WORDS[i]} in
      --bench) i=$((i + 1)) ;;
      -*) ;;
      *)
        if _landfall_help "$program" "${command[@]}" | grep -qx -e "${COMP_WORDS[i]}"; then
          command+=("${COMP_WORDS[i]}")
        else
          break
        fi
        ;;
    esac
  done
  mapfile -t COMPREPLY < <(compgen -W "$(_landfall_help "$program" "${command[@]}"
                                         [ ${#command[@]} -gt 0 ] && echo '--bench --json')" -- "$word")
  if [[ ${command[0]} == import && $word != -* ]]; then
    mapfile -t COMPREPLY < <(compgen -f -- "$word")
    compopt -o filenames 2>/dev/null
  fi
}

complete -F _landfall landfall
