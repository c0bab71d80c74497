# cmake -DROOT=... -P tests/include_rules.cmake: fails when an include goes against the arrows of the house.
set(rules
  "importers=>^(sqlite3|SDL|imgui|viewer/|netdb/(store|signals|rework|join|packages|photo)/)"
  "netdb/model=>^(sqlite3|SDL|imgui|pugixml|viewer/|importers/|netdb/(store|signals|rework|join|packages|photo)/)"
  "netdb/(join|packages|signals)=>^(sqlite3|SDL|imgui|pugixml|viewer/|importers/|netdb/(store|rework|photo)/)"
  "netdb/rework=>^(sqlite3|SDL|imgui|pugixml|viewer/|importers/|netdb/(store|photo)/)"
  "netdb/photo=>^(sqlite3|SDL|imgui|pugixml|viewer/|importers/|netdb/(store|signals|rework|join|packages)/)"
  "netdb/store=>^(SDL|imgui|pugixml|viewer/|importers/|netdb/(signals|rework|join|packages|photo)/)"
  "(importers|netdb/(model|join|packages|signals|rework|store)|viewer|sample-boards)=>^(png.h|turbojpeg.h)"
  "viewer/(app|scene|report)=>^(sqlite3|SDL|imgui|pugixml|viewer/(ui|sdl|cli)/)"
  "viewer/app=>^(viewer/(scene|report)/)"
  "viewer/cli=>^(sqlite3|SDL|imgui|pugixml|viewer/(ui|sdl)/)"
  "viewer/ui=>^(sqlite3|SDL|pugixml|viewer/(sdl|cli)/)"
  "viewer/sdl=>^(sqlite3|pugixml|viewer/cli/)"
  "sample-boards=>^(sqlite3|SDL|imgui|pugixml|viewer/|importers/|netdb/(store|signals|rework|join|packages)/)")
file(GLOB_RECURSE files RELATIVE "${ROOT}" "${ROOT}/importers/*.?pp" "${ROOT}/netdb/*.?pp" "${ROOT}/viewer/*.?pp"
     "${ROOT}/sample-boards/*.?pp")
list(LENGTH files count)
if(count EQUAL 0)
  message(SEND_ERROR "no sources under ${ROOT}")
endif()
foreach(file IN LISTS files)
  file(STRINGS "${ROOT}/${file}" lines REGEX "^[ \t]*#[ \t]*include")
  foreach(line IN LISTS lines)
    string(REGEX REPLACE "^[^<\"]*[<\"]([^>\"]+).*" "\\1" path "${line}")
    foreach(rule IN LISTS rules)
      string(REGEX REPLACE "=>.*" "" room "${rule}")
      string(REGEX REPLACE ".*=>" "" forbidden "${rule}")
      if(file MATCHES "^${room}/" AND path MATCHES "${forbidden}")
        message(SEND_ERROR "${file}: may not include ${path}")
      endif()
    endforeach()
  endforeach()
endforeach()
