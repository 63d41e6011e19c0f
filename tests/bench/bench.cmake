# The benches: built with the tests, run by hand (see the heads of layout.c and colour.c).
if(TRIMWELL_TESTS)
  add_executable(bench-layout ${CMAKE_CURRENT_LIST_DIR}/layout.c ${TW_OBJECTS_TO_layout})
  target_link_libraries(bench-layout PRIVATE tw_flags ${TW_FOREIGN})
  add_executable(bench-colour ${CMAKE_CURRENT_LIST_DIR}/colour.c ${TW_OBJECTS_TO_pixels})
  target_link_libraries(bench-colour PRIVATE tw_flags ${TW_FOREIGN})
endif()
